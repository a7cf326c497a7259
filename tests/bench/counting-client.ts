/** A process that only counts what an mqtt client receives; started by backlog.ts, which tells it how many to expect. */
import mqtt from 'mqtt'
import { countingOptions } from './counting-options.js'

const [, , url, variant, filter] = process.argv
if (!url || !filter || (variant !== 'defaults' && variant !== 'window')) throw new Error('started by backlog.ts')

const tell = (what: 'ready' | 'done' | 'armed') => process.send!(what)
let left = 0
const client = await mqtt.connectAsync(url, countingOptions[variant])
client.on('message', () => {
  if (--left === 0) tell('done')
})
await client.subscribeAsync(filter, { qos: 1 })
process.on('message', count => {
  left = Number(count)
  tell('armed')
})
process.on('disconnect', () => process.exit())
tell('ready')
