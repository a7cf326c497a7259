import { Readable } from 'node:stream'

/** A message on its way, as the broker library hands it on; one of QoS 2 is replaced by its release, which has no number. */
export interface Packet {
  topic: string
  payload: Uint8Array | string
  /** the broker's own number of the message */
  brokerCounter?: number
  /** MQTT's packet identifier: 1 to 65,535, one of one client's at a time */
  messageId?: number | undefined
}

const mostIdentifiers = 65_535

/** what one client has not acknowledged yet */
interface Queue {
  /** in the order of arrival, by the broker's number */
  packets: Map<number, Packet>
  /** whose identifier it is; null: of a message that is not kept */
  identifiers: Map<number, number | null>
  last: number
}

/**
 * The messages that wait for the acknowledgements of clients whose session is kept, in memory.
 *
 * The library numbers messages anew, from anywhere, with each connection, whatever numbers messages of an earlier connection
 * still have: two under one number, and the acknowledgement of one deletes the other unsent. Here a number is given to
 * one message at a time (MQTT 3.1.1, 2.3.1).
 */
export const createSessionQueues = () => {
  const queues = new Map<string, Queue>()
  const queueOf = (id: string): Queue => {
    const queue = queues.get(id) ?? { packets: new Map(), identifiers: new Map(), last: 0 }
    queues.set(id, queue)
    return queue
  }
  /** @throws Error when all are taken */
  const identify = (queue: Queue, whose: number | null): number => {
    if (queue.identifiers.size >= mostIdentifiers)
      throw new Error('every packet identifier waits for its acknowledgement')
    do queue.last = (queue.last % mostIdentifiers) + 1
    while (queue.identifiers.has(queue.last))
    queue.identifiers.set(queue.last, whose)
    return queue.last
  }

  return {
    enqueue(id: string, packet: Packet): void {
      queueOf(id).packets.set(packet.brokerCounter!, { ...packet })
    },
    /**
     * Gives `packet`, which is about to be sent, the identifier of its message; or puts a release in the place of its message.
     *
     * @returns whether the message was still waiting; it does from now on
     * @throws Error when all identifiers are taken, or it releases nothing
     */
    sending(id: string, packet: Packet): boolean {
      const queue = queueOf(id)
      const counter = packet.brokerCounter
      if (counter === undefined) {
        const released = queue.identifiers.get(packet.messageId!)
        if (released == null) throw new Error('no such packet')
        queue.packets.set(released, { ...queue.packets.get(released)!, ...packet })
        return true
      }
      const waits = queue.packets.get(counter)
      const kept = waits ?? { ...packet, messageId: undefined }
      packet.messageId = kept.messageId ??= identify(queue, counter)
      queue.packets.set(counter, kept)
      return waits !== undefined
    },
    /** @returns an identifier for a message to a client that is not kept; undefined when all are taken */
    passing(id: string): number | undefined {
      const queue = queueOf(id)
      return queue.identifiers.size < mostIdentifiers ? identify(queue, null) : undefined
    },
    /** @returns the message that needs to be kept no longer; undefined when there is none of that identifier */
    acknowledged(id: string, identifier: number | undefined): Packet | undefined {
      const queue = queues.get(id)
      if (!queue || identifier === undefined) return undefined
      const counter = queue.identifiers.get(identifier)
      queue.identifiers.delete(identifier)
      const packet = counter == null ? undefined : queue.packets.get(counter)
      if (counter != null) queue.packets.delete(counter)
      if (queue.packets.size === 0 && queue.identifiers.size === 0) queues.delete(id)
      return packet
    },
    /** @returns what waits, as it is now, for a client that has come back */
    waiting(id: string): Readable {
      const queue = queues.get(id)
      // what was sent on an earlier connection and is not kept is acknowledged by nobody any more
      for (const [identifier, whose] of queue?.identifiers ?? [])
        if (whose === null) queue!.identifiers.delete(identifier)
      return Readable.from([...(queue?.packets.values() ?? [])])
    },
  }
}
