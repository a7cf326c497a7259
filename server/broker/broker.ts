import { createHash, timingSafeEqual } from 'node:crypto'
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net'
import { Aedes, type AuthenticateError } from 'aedes'
import { boundedMemory } from './bounded-memory.js'
import { type BrokerRefusal, createRefusalCounter, type Limits, refusals, limits as usualLimits } from './limits.js'
import { packetSizes } from './packet-sizes.js'

interface BrokerOptions {
  /** loopback if not given */
  host?: string
  /** 0 takes any free one */
  port: number
  /** who may connect; needed on any host that other machines can reach */
  credentials?: { user: string; password: string }
  /** for the log */
  warn?: (text: string) => void
  /** those of `limits.ts` if not given */
  limits?: Limits
}

export interface EmbeddedBroker {
  /** what was refused since the start, by reason */
  refused(): Partial<Record<BrokerRefusal, number>>
  /** where it listens */
  readonly port: number
  readonly url: string
  stop(): Promise<void>
}

const loopback = /^(127\.\d+\.\d+\.\d+|::1|localhost)$/i
/** MQTT 3.1.1, CONNACK: server unavailable; bad user name or password */
const unavailable = 3
const badCredentials = 4
/** ms; who has not said who it is by then is cut off */
const connectTimeout = 10_000

const refusal = (text: string, returnCode: number): AuthenticateError => Object.assign(new Error(text), { returnCode })

const digest = (text: string | Buffer): Buffer => createHash('sha256').update(text).digest()
const same = (given: string | Buffer, wanted: string): boolean => timingSafeEqual(digest(given), digest(wanted))

/** Cuts a connection off that announces a packet of more than `most` bytes, before any of it is kept. */
const boundPackets = (socket: Socket, most: number, onOver: () => void): void => {
  const isOver = packetSizes(most)
  const read = socket.read.bind(socket)
  socket.read = size => {
    const bytes = read(size) as Buffer | null
    if (bytes === null || !isOver(bytes)) return bytes
    onOver()
    socket.destroy()
    return null
  }
}

const listen = (server: Server, host: string, port: number): Promise<void> =>
  new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      const remedy: Record<string, string> = {
        EADDRINUSE:
          'Another program, perhaps a broker or a second service, uses it: stop that one or take another port.',
        EACCES: 'Ports below 1024 need special rights: take a higher one.',
        EADDRNOTAVAIL: 'This computer has no such address.',
      }
      reject(
        new Error(
          `The embedded broker cannot listen on ${host}, port ${port}. ${remedy[error.code ?? ''] ?? error.message}`,
        ),
      )
    })
    server.listen(port, host, () => {
      server.removeAllListeners('error')
      // a connection that cannot be accepted (too many open files) must not end the service
      server.on('error', () => undefined)
      resolve()
    })
  })

/**
 * Starts an MQTT broker inside the service, for the demo, tests and a small shop that has none: MQTT 3.1.1, in memory.
 * It acknowledges before anything is stored, so a shop that must not lose a reading runs a broker of its own.
 *
 * @throws Error when it cannot listen, or other machines could reach it without user and password
 */
export const startBroker = async ({
  host = '127.0.0.1',
  port,
  credentials,
  warn = () => undefined,
  limits = usualLimits,
}: BrokerOptions): Promise<EmbeddedBroker> => {
  if (!credentials && !loopback.test(host))
    throw new Error(
      `The embedded broker would take readings from anybody who can reach ${host}. ` +
        'Give it a user and a password, or let it listen on 127.0.0.1 only.',
    )
  const refused = createRefusalCounter(warn)
  /** clients whose session is kept while they are away */
  const sessions = new Set<string>()
  const persistence = boundedMemory(limits, refused)
  const aedes = await Aedes.createBroker({
    // a subscriber that stops reading is cut off instead of holding up all the others
    drainTimeout: 10_000,
    persistence,
    queueLimit: limits.underWay,
    maxInflightInbound: limits.underWay,
    connectTimeout,
    authenticate({ id, clean }, user, password, done) {
      if (credentials && !(same(user ?? '', credentials.user) && same(password ?? '', credentials.password))) {
        done(refusal('user or password is wrong', badCredentials), false)
        return
      }
      if (!clean && !sessions.has(id) && sessions.size >= limits.sessions) {
        refused.count(refusals.session, `client ${id}`)
        done(refusal('too many clients', unavailable), false)
        return
      }
      if (clean) sessions.delete(id)
      else sessions.add(id)
      done(null, true)
    },
    // a retained message that a new subscription brings is not kept for its client, yet waits for an acknowledgement
    authorizeForward({ id, clean }, packet) {
      if (!packet.retain || packet.qos === 0 || clean || packet.messageId !== undefined) return packet
      const messageId = persistence.identifierFor(id)
      return messageId === undefined ? null : { ...packet, messageId }
    },
  })
  const sockets = new Set<Socket>()
  const server = createServer(socket => {
    sockets.add(socket)
    socket.once('close', () => sockets.delete(socket))
    boundPackets(socket, limits.packet, () => refused.count(refusals.packet, `${socket.remoteAddress}`))
    aedes.handle(socket)
  })
  server.maxConnections = limits.connections
  server.on('drop', from => refused.count(refusals.connection, `${from?.remoteAddress}`))
  try {
    await listen(server, host, port)
  } catch (error) {
    await new Promise<void>(resolve => aedes.close(resolve))
    throw error
  }
  const bound = (server.address() as AddressInfo).port
  return {
    port: bound,
    refused: refused.read,
    url: `mqtt://${host.includes(':') ? `[${host}]` : host}:${bound}`,
    async stop() {
      const closed = new Promise<void>(resolve => server.close(() => resolve()))
      await new Promise<void>(resolve => aedes.close(resolve))
      for (const socket of sockets) socket.destroy()
      await closed
    },
  }
}
