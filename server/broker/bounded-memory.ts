import type { Aedes, Client } from 'aedes'
import memory from 'aedes-persistence'
import { type Limits, type RefusalCounter, refusals } from './limits.js'
import { createSessionQueues, type Packet } from './session-queues.js'

/** what the broker asks of its store that is bounded here; the library's own types know only an older form of it */
interface Kept {
  setup(broker: Aedes): Promise<void>
  storeRetained(packet: Packet): Promise<void>
}

/** likewise: its types leave the clients out */
interface WithClients {
  clients: Record<string, Client | undefined>
}

interface Size {
  messages: number
  bytes: number
}

/** bytes that a message takes beside its topic and payload, about */
const overhead = 200

const bytesOf = ({ topic, payload }: Packet): number => overhead + 2 * topic.length + payload.length

/**
 * The broker library's store in memory, with an end: retained messages and queues beyond the limits are refused, newest
 * first. A client that is there and does not acknowledge for long is cut off.
 */
export const boundedMemory = (limits: Limits, refused: RefusalCounter) => {
  const kept = (memory as unknown as () => Kept)()
  const { setup, storeRetained } = kept
  const waiting = createSessionQueues()
  let broker: WithClients | undefined
  const retained = new Map<string, number>()
  let retainedBytes = 0
  const queues = new Map<string, Size>()
  let queuedBytes = 0

  const fits = (clientId: string, bytes: number): boolean => {
    const { messages, bytes: before } = queues.get(clientId) ?? { messages: 0, bytes: 0 }
    const client = broker?.clients[clientId]
    const times = client ? 2 : 1
    const does =
      messages < times * limits.queue.messages &&
      before + bytes <= times * limits.queue.bytes &&
      queuedBytes + bytes <= times * limits.queues
    if (!does) refused.count(refusals.queue, `client ${clientId}`)
    if (!does) client?.close()
    return does
  }
  const add = (clientId: string, messages: number, bytes: number): void => {
    const queue = queues.get(clientId) ?? { messages: 0, bytes: 0 }
    queue.messages += messages
    queue.bytes += bytes
    queuedBytes += bytes
    if (queue.messages > 0) queues.set(clientId, queue)
    else queues.delete(clientId)
  }

  return Object.assign(kept, {
    async setup(of: Aedes) {
      broker = of as unknown as WithClients
      await setup.call(kept, of)
    },
    async storeRetained(packet: Packet) {
      const before = retained.get(packet.topic) ?? 0
      const bytes = packet.payload.length === 0 ? 0 : bytesOf(packet)
      const isNew = before === 0 && bytes > 0
      if (
        (isNew && retained.size >= limits.retained.messages) ||
        retainedBytes + bytes - before > limits.retained.bytes
      ) {
        refused.count(refusals.retained, `topic ${packet.topic}`)
        return
      }
      if (bytes > 0) retained.set(packet.topic, bytes)
      else retained.delete(packet.topic)
      retainedBytes += bytes - before
      await storeRetained.call(kept, packet)
    },
    async outgoingEnqueueCombi(subscriptions: { clientId: string }[], packet: Packet) {
      const bytes = bytesOf(packet)
      for (const { clientId } of subscriptions) {
        if (!fits(clientId, bytes)) continue
        add(clientId, 1, bytes)
        waiting.enqueue(clientId, packet)
      }
    },
    async outgoingUpdate({ id, closed }: { id: string; closed: boolean }, packet: Packet) {
      if (closed) throw new Error('connection closed')
      if (!waiting.sending(id, packet)) add(id, 1, bytesOf(packet))
    },
    async outgoingClearMessageId({ id }: { id: string }, { messageId }: Packet) {
      const cleared = waiting.acknowledged(id, messageId)
      if (cleared) add(id, -1, -bytesOf(cleared))
      return cleared
    },
    outgoingStream: ({ id }: { id: string }) => waiting.waiting(id),
    /** the identifier of a message to the client that is not kept for it, as a retained one */
    identifierFor: waiting.passing,
  })
}
