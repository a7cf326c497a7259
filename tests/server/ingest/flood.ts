import { once } from 'node:events'
import { connect } from 'node:net'

/** messages on their way to the broker at once */
const underWay = 5000

const connectPacket = (clientId: string): Buffer => {
  const id = Buffer.from(clientId)
  const body = Buffer.from([0, 4, ...Buffer.from('MQTT'), 4, 2, 0, 0, 0, id.length, ...id])
  return Buffer.concat([Buffer.from([0x10, body.length]), body])
}

/** PUBLISH with QoS 1, shorter than 16 kB */
const publishPacket = (topic: string, payload: string, id: number): Buffer => {
  const topicLength = Buffer.byteLength(topic)
  const rest = 2 + topicLength + 2 + Buffer.byteLength(payload)
  const head = rest < 128 ? [0x32, rest] : [0x32, 0x80 | (rest & 127), rest >> 7]
  const packet = Buffer.alloc(head.length + rest)
  packet.set(head)
  packet.writeUInt16BE(topicLength, head.length)
  packet.write(topic, head.length + 2)
  packet.writeUInt16BE(id, head.length + 2 + topicLength)
  packet.write(payload, head.length + 4 + topicLength)
  return packet
}

/**
 * Publishes with QoS 1 as fast as the broker takes it, in plain MQTT 3.1.1 on a socket: a client library would need most
 * of the time itself. Resolves when the broker has acknowledged every message.
 *
 * @param message topic and payload of a number from 0
 */
export const flood = async (
  port: number,
  count: number,
  message: (number: number) => { topic: string; payload: string },
): Promise<void> => {
  const socket = connect(port, '127.0.0.1')
  await once(socket, 'connect')
  socket.write(connectPacket('flood'))
  await once(socket, 'data')
  let sent = 0
  // every answer from here on is a PUBACK of four bytes
  let answered = 0
  const send = () => {
    const packets: Buffer[] = []
    for (; sent < count && sent - answered / 4 < underWay; sent += 1) {
      const { topic, payload } = message(sent)
      packets.push(publishPacket(topic, payload, 1 + (sent % 60_000)))
    }
    if (packets.length > 0) socket.write(Buffer.concat(packets))
  }
  await new Promise<void>((resolve, reject) => {
    socket.on('error', reject)
    socket.on('close', () => reject(new Error(`the broker closed after ${answered / 4} of ${count}`)))
    socket.on('data', (bytes: Buffer) => {
      answered += bytes.length
      if (answered / 4 >= count) resolve()
      else send()
    })
    send()
  })
  socket.destroy()
}
