// Loaded into the simulator before itself: ends it when the demo that started it is gone, even one that was killed.
process.once('disconnect', () => process.exit(0))
process.channel?.unref()
