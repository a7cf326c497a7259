import type { MqttClient } from 'mqtt'

/** messages under way to the broker at most, unacknowledged: while the broker is away, no more than these wait here */
const window = 1000

/** Publishes with QoS 1 and a bounded number of messages under way. */
export interface Publisher {
  readonly published: number
  readonly acknowledged: number
  publish(topic: string, payload: string): void
  /** resolves when there is room for more, or the signal has come; throws what the client threw */
  room(): Promise<void>
  /** resolves when the broker has acknowledged all, or the signal has come */
  idle(): Promise<void>
}

export const createPublisher = (client: Pick<MqttClient, 'publish'>, signal: AbortSignal): Publisher => {
  let published = 0
  let acknowledged = 0
  let failure: Error | null = null
  let wake: () => void = () => {}
  signal.addEventListener('abort', () => wake())

  const until = async (limit: number): Promise<void> => {
    while (published - acknowledged > limit && !failure && !signal.aborted)
      await new Promise<void>(resolve => {
        wake = resolve
      })
    if (failure && !signal.aborted) throw failure
  }

  return {
    get published() {
      return published
    },
    get acknowledged() {
      return acknowledged
    },
    publish(topic, payload) {
      published += 1
      client.publish(topic, payload, { qos: 1 }, error => {
        if (error) failure ??= error
        else acknowledged += 1
        wake()
      })
    },
    room: () => until(window - 1),
    idle: () => until(0),
  }
}
