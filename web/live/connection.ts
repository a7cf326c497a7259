/** What the service sends, by the name of the event. */
interface LiveHandlers {
  onEvent: (event: string, data: unknown) => void
  /** called when a connection stands, before its first event */
  onOpen: () => void
}

const eventNames = ['state', 'machine', 'shop', 'sensors', 'anew', 'beat'] as const

/** ms; a connection over which nothing comes for so long is given up, even if it looks open */
const silence = 10_000
/** ms; waits between attempts double up to this */
const longestWait = 5000

/**
 * Keeps one stream of events open for ever. The browser's own reconnection gives up on an answer that is not a stream
 * and never notices a connection that hangs, so attempts and patience are kept here.
 * @returns a function that ends it
 */
export const listen = (address: string, { onEvent, onOpen }: LiveHandlers): (() => void) => {
  let source: EventSource | null = null
  let retry: ReturnType<typeof setTimeout> | undefined
  let watchdog: ReturnType<typeof setTimeout> | undefined
  let failures = 0
  let ended = false

  const close = () => {
    clearTimeout(watchdog)
    clearTimeout(retry)
    source?.close()
    source = null
  }
  const again = () => {
    close()
    if (ended) return
    const wait = Math.min(1000 * 2 ** failures, longestWait)
    failures += 1
    // spread out, so that all screens of a shop do not come back in the same instant
    retry = setTimeout(open, wait * (0.75 + Math.random() / 2))
  }
  const heard = () => {
    clearTimeout(watchdog)
    watchdog = setTimeout(again, silence)
  }
  const open = () => {
    close()
    source = new EventSource(address)
    heard()
    source.onopen = onOpen
    source.onerror = again
    for (const name of eventNames) {
      source.addEventListener(name, message => {
        failures = 0
        heard()
        onEvent(name, JSON.parse(message.data))
      })
    }
  }
  open()
  return () => {
    ended = true
    close()
  }
}
