import { setTimeout as sleep } from 'node:timers/promises'
import type { MqttClient } from 'mqtt'
import type { Message, SimulatedShop } from './shop.js'

/** Where a simulation says how far its history is: {"part": 0..1, "anchor": ms}. */
export const progressTopic = 'simulator/progress'
/** Where it takes the lines of `obey`. */
export const commandTopic = 'simulator/command'

/** messages on their way to the broker at most, unacknowledged */
const WINDOW = 1000
/** ms; the shop's life is made and sent in pieces of at most this length, cut at its multiples */
const PIECE = 60_000
/** ms between two signs of progress, and between two live steps */
const PROGRESS_EVERY = 500
const LIVE_EVERY = 1000

/**
 * Publishes with QoS 1 and a bounded number of messages in flight: `room` waits until there is room for more, `idle`
 * until the broker has acknowledged all. Both give up waiting when the signal comes, and throw what the client threw.
 */
export const createPublisher = (client: MqttClient, signal: AbortSignal) => {
  let inFlight = 0
  let sent = 0
  let failure: Error | null = null
  let wake: () => void = () => {}
  signal.addEventListener('abort', () => wake())

  const until = async (limit: number): Promise<void> => {
    while (inFlight > limit && !failure && !signal.aborted)
      await new Promise<void>(resolve => {
        wake = resolve
      })
    if (failure && !signal.aborted) throw failure
  }
  return {
    sent: (): number => sent,
    publish: (topic: string, payload: string): void => {
      inFlight++
      client.publish(topic, payload, { qos: 1 }, error => {
        inFlight--
        if (error) failure = error
        else sent++
        wake()
      })
    },
    room: (): Promise<void> => until(WINDOW / 2),
    idle: (): Promise<void> => until(0),
  }
}
type Publisher = ReturnType<typeof createPublisher>

interface Publishing {
  shop: SimulatedShop
  publisher: Publisher
  /** ms; the history goes up to here, and live begins */
  anchor: number
  /** s; how often every sensor reports in the history */
  historyInterval: number
  /** called whenever a minute of the shop is full */
  onMinute: () => void
  /** ends it */
  signal: AbortSignal
}

/** Lets the shop live up to `to`, at most to the next full minute. */
const liveOn = (
  { shop, onMinute }: Publishing,
  to: number,
  pass: (message: Message) => void,
  interval?: number,
): void => {
  const minute = (Math.floor(shop.time() / PIECE) + 1) * PIECE
  shop.advance(Math.min(to, minute), pass, interval)
  if (shop.time() === minute) onMinute()
}

/** Topics whose payload has no time of its own: a history cannot be told through them. */
const timeless = (shop: SimulatedShop): Set<string> =>
  new Set(shop.plant.sensors.filter(sensor => sensor.payload.kind === 'number').map(sensor => sensor.topic))

/**
 * Publishes the shop's life from where it is up to the anchor, as fast as the broker takes it. Sensors that send no time
 * stay silent.
 *
 * @param onProgress part done, 0..1
 * @returns when all of it is acknowledged, or the signal came
 */
export const publishHistory = async (publishing: Publishing, onProgress: (part: number) => void): Promise<void> => {
  const { shop, publisher, anchor, historyInterval, signal } = publishing
  const from = shop.time()
  const silent = timeless(shop)
  const pass = (message: Message): void => {
    if (!silent.has(message.topic)) publisher.publish(message.topic, message.payload)
  }
  const say = (part: number): void => {
    publisher.publish(progressTopic, JSON.stringify({ part, anchor }))
    onProgress(part)
  }
  let said = 0
  while (shop.time() < anchor && !signal.aborted) {
    if (performance.now() - said > PROGRESS_EVERY) {
      said = performance.now()
      say(Math.floor((1000 * (shop.time() - from)) / (anchor - from)) / 1000)
    }
    liveOn(publishing, anchor, pass, historyInterval)
    await publisher.room()
  }
  await publisher.idle()
  if (!signal.aborted) say(1)
  await publisher.idle()
}

/**
 * Publishes the shop's life from where it is on, each sensor at its own interval, until the signal comes. What was while the
 * history was published comes first; sensors that send no time are silent in it too.
 *
 * @param target the moment (ms) the shop should have reached by now
 */
export const publishLive = async (publishing: Publishing, target: () => number): Promise<void> => {
  const { shop, publisher, signal } = publishing
  const silent = timeless(shop)
  // what is older when it is sent must say its time: without, it would count as of now
  let fresh = target()
  while (!signal.aborted) {
    const to = target()
    while (shop.time() < to && !signal.aborted) {
      liveOn(publishing, to, ({ topic, payload, time }) => {
        if (time > fresh || !silent.has(topic)) publisher.publish(topic, payload)
      })
      await publisher.room()
    }
    fresh = to
    await sleep(LIVE_EVERY, undefined, { signal }).catch(() => undefined)
  }
}
