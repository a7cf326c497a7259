import { type AddressInfo, connect, createServer, type Socket } from 'node:net'
import { expect, it, onTestFinished } from 'vitest'
import { until } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { shop, shopInTrouble } from './shop-in-trouble.js'

/** Forwards to a port of this computer, until it is told to swallow everything without closing anything. */
const proxyTo = async (port: number) => {
  let open = true
  const sockets = new Set<Socket>()
  const pass = (from: Socket, to: Socket) => {
    sockets.add(from)
    from.on('error', () => undefined)
    from.on('close', () => {
      sockets.delete(from)
      if (open) to.destroy()
    })
    from.on('data', bytes => {
      if (open && to.writable) to.write(bytes)
    })
  }
  const server = createServer(near => {
    const far = connect(port, '127.0.0.1')
    pass(near, far)
    pass(far, near)
  })
  await new Promise<void>(resolve => server.listen(0, '127.0.0.1', resolve))
  onTestFinished(() => {
    for (const socket of sockets) socket.destroy()
    server.close()
  })
  return {
    url: `mqtt://127.0.0.1:${(server.address() as AddressInfo).port}`,
    swallow() {
      open = false
    },
    /** what was half open is gone, what comes anew is forwarded */
    mend() {
      for (const socket of sockets) socket.destroy()
      open = true
    },
  }
}

it('network half-open: found by the missing answer, said, and nothing is missing afterwards', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const proxy = await proxyTo(mosquitto.port)
  const watched = await shopInTrouble({ broker: proxy.url, publishTo: mosquitto.url })
  await watched.report()
  await until(watched.health, ({ code }) => code === 200)
  proxy.swallow()
  await watched.report()
  // keep-alive is 15 s, and an answer gets half of that again
  const health = await until(watched.health, ({ broker }) => broker === 'away')
  expect(health).toMatchObject({ code: 503, reasons: ['The broker is away: no reading can arrive.'] })
  expect(watched.banner()).toBe('broker')
  expect(watched.lines.join('\n')).toMatch(/cannot be reached: .*Trying again|closed the connection/)
  await watched.report()
  expect(watched.stored()).toBe(shop.sensors.length)
  proxy.mend()
  await until(watched.stored, count => count === 3 * shop.sensors.length)
  await until(watched.health, ({ code }) => code === 200)
  expect(watched.banner()).toBeNull()
})

it('broker away and back: said, and what it takes in from then on arrives', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const watched = await shopInTrouble({ broker: mosquitto.url })
  await watched.report()
  await until(watched.health, ({ code }) => code === 200)
  await mosquitto.stop()
  const health = await until(watched.health, ({ broker }) => broker === 'away')
  expect(health).toMatchObject({ code: 503, reasons: ['The broker is away: no reading can arrive.'] })
  await until(watched.banner, kind => kind === 'broker')
  await mosquitto.start()
  await watched.report()
  await until(watched.stored, count => count === 2 * shop.sensors.length)
  await until(watched.health, ({ code }) => code === 200)
  expect(watched.banner()).toBeNull()
  const connected = watched.lines.filter(line => line.startsWith('Connected to the broker'))
  expect(connected).toHaveLength(2)
})
