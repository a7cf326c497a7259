import { readFileSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { join } from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import { connectAsync } from 'mqtt'
import { describe, expect, it, onTestFinished } from 'vitest'
import { openStore } from '../../server/store/sqlite.js'
import { freePort } from '../free-port.js'
import { startMosquitto } from '../mosquitto.js'
import { patience } from '../patience.js'
import { temporaryFolder } from '../temporary-folder.js'
import { running } from './running.js'

const demoShop = 'simulators/demo-shop.yaml'

const start = async (broker: string, data: string, more: string[] = []) => {
  const port = await freePort()
  const argv = ['--shop', demoShop, '--broker', broker, '--port', String(port), '--data', data, ...more]
  return { port, ...running('server/main.js', argv) }
}

/** readings that the service on this port has stored since its start */
const storedBy = async (port: number): Promise<number> => {
  const text = await (await fetch(`http://127.0.0.1:${port}/metrics`)).text()
  return Number(/quiet_iron_ingest_total\{what="stored"\} (\d+)/.exec(text)?.[1])
}

describe('npm start', () => {
  it('gives help and ends well', async () => {
    const main = running('server/main.js', ['--help'])
    expect(await main.ended).toBe(0)
    expect(main.said()).toMatch(/^npm start -- \[options\]/)
  })

  it('stops with everything that is wrong about its settings', async () => {
    const main = running('server/main.js', ['--shpo', 'x', '--port', 'high'])
    expect(await main.ended).toBe(2)
    expect(main.said()).toMatch(/--shpo is no option; did you mean --shop\?/)
    expect(main.said()).toMatch(/--port must be a whole number/)
  })

  it('stops with everything that is wrong in the shop file, and makes no database', async () => {
    const folder = temporaryFolder()
    const file = join(folder, 'shop.yaml')
    writeFileSync(file, 'shop:\n  name: Mine\n  tme zone: UTC\n  reference temperature: 20 parsecs\n')
    const main = running('server/main.js', ['--shop', file, '--data', join(folder, 'data')])
    expect(await main.ended).toBe(2)
    expect(main.said()).toMatch(/line 3/)
    expect(main.said()).toMatch(/line 4/)
    expect(main.said()).not.toMatch(/\n\s+at /)
  })

  it('says what to do when its port is taken', async () => {
    const taken = createServer().listen(0, '127.0.0.1')
    await new Promise(resolve => taken.once('listening', resolve))
    onTestFinished(() => {
      taken.close()
    })
    const { port } = taken.address() as { port: number }
    const main = running('server/main.js', ['--shop', demoShop, '--port', String(port), '--data', temporaryFolder()])
    expect(await main.ended).toBe(1)
    expect(main.said()).toMatch(/choose another with --port/)
    expect(main.said()).not.toMatch(/\n\s+at /)
  })

  it('answers with no broker there, and says so', async () => {
    const from = Date.now()
    const main = await start(`mqtt://127.0.0.1:${await freePort()}`, temporaryFolder())
    let status = 0
    while (status === 0 && Date.now() - from < patience) {
      await wait(20)
      status = await fetch(`http://127.0.0.1:${main.port}/healthz`).then(
        reply => reply.status,
        () => 0,
      )
    }
    expect(status).toBe(503)
    await main.until(/cannot be reached/)
    main.child.kill('SIGINT')
    expect(await main.ended).toBe(0)
  })

  it('says where the token lies, and never what it is', async () => {
    const data = temporaryFolder()
    const main = await start('mqtt://127.0.0.1:1', data, ['--host', '0.0.0.0'])
    await main.until(/token/)
    expect(main.said()).toContain(join(data, 'write-token'))
    main.child.kill('SIGTERM')
    expect(await main.ended).toBe(0)
    expect(main.said()).not.toContain(readFileSync(join(data, 'write-token'), 'utf8').trim())
  })

  it('looks at the shop file anew when it gets SIGHUP, and by itself when the file has changed', async () => {
    const folder = temporaryFolder()
    const path = join(folder, 'shop.yaml')
    const text = readFileSync(demoShop, 'utf8')
    writeFileSync(path, text)
    const port = await freePort()
    const data = join(folder, 'data')
    const argv = ['--shop', path, '--broker', 'mqtt://127.0.0.1:9', '--port', String(port), '--data', data]
    const main = running('server/main.js', argv)
    await main.until(/the pages are at/)
    main.child.kill('SIGHUP')
    await main.until(/says what is in force already/)
    writeFileSync(path, text.replace(/^sensors:$/m, 'sensors:\n  more: { topic: shop/more, at: shop air }'))
    await main.until(/The shop file has changed and is in force/)
    const answer = await (await fetch(`http://127.0.0.1:${port}/api/sensors`)).json()
    expect(answer).toMatchObject({ sensors: expect.arrayContaining([expect.objectContaining({ sensor: 'more' })]) })
    main.child.kill('SIGTERM')
    expect(await main.ended).toBe(0)
  })

  it('loses nothing when Ctrl-C comes while readings do, and ends cleanly', async () => {
    const broker = await startMosquitto()
    onTestFinished(() => broker.remove())
    const data = temporaryFolder()
    const first = await start(broker.url, data)
    await first.until(/Connected to the broker/)

    const client = await connectAsync(broker.url)
    onTestFinished(() => client.endAsync(true))
    const begun = Date.now() - 3_600_000
    const count = 4000
    const send = async (from: number, to: number) => {
      const sent = []
      for (let i = from; i < to; i++) {
        const payload = JSON.stringify({ value: 20 + i / count, time: begun + i })
        sent.push(client.publishAsync('shop/mill-1/x-screw', payload, { qos: 1 }))
        if (i % 100 === 0) await wait(25)
      }
      await Promise.all(sent)
    }
    const sending = send(0, count)
    while ((await storedBy(first.port)) < 300) await wait(10)
    first.child.kill('SIGINT')
    expect(await first.ended).toBe(0)
    await sending

    const second = await start(broker.url, data)
    await second.until(/Connected to the broker/)
    let last = -1
    for (let now = 0; now !== last; now = await storedBy(second.port)) {
      last = now
      await wait(1000)
    }
    second.child.kill('SIGINT')
    expect(await second.ended).toBe(0)
    // it was stopped in the middle: the second one had something to do, and not all of it
    expect(last).toBeGreaterThan(0)
    expect(last).toBeLessThan(count)

    const store = openStore(data)
    onTestFinished(() => store.close())
    const kept = [...store.readings(begun, begun + count)].flat()
    expect(kept).toHaveLength(count)
    expect(new Set(kept.map(r => r.at)).size).toBe(count)
  })
})
