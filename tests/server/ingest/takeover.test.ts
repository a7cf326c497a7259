import { cpSync } from 'node:fs'
import { afterEach, beforeEach, describe, expect, it, onTestFinished, vi } from 'vitest'
import { clientIdFor } from '../../../server/ingest/client-id.js'
import type { ClosedBecause } from '../../../server/ingest/connection.js'
import { createTakeoverWatch } from '../../../server/ingest/takeover.js'
import { openStore } from '../../../server/store/sqlite.js'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sensor } from './sensors.js'
import { published, publisher, type Service, startService } from './service.js'

const a = sensor('a')
const connected = (service: Service) => eventually(() => expect(service.states.at(-1)).toBe('connected'))
const broker = async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  return mosquitto
}

describe('the name at the broker', () => {
  const nameIn = (folder: string, host?: string) => {
    const store = openStore(folder)
    try {
      return clientIdFor(store, folder, host)
    } finally {
      store.close()
    }
  }

  it('stays through restarts, and is another one for a copy in another folder or on another computer', () => {
    const folder = temporaryFolder()
    const own = nameIn(folder, 'mill')
    expect(own).toMatchObject({ clientId: expect.stringMatching(/^quiet-iron-[0-9a-f]{12}$/), isCopy: false })
    expect(nameIn(folder, 'mill')).toEqual(own)
    const copy = temporaryFolder()
    cpSync(folder, copy, { recursive: true })
    const names = [nameIn(copy, 'mill'), nameIn(folder, 'lathe'), nameIn(copy, 'lathe')]
    expect(names.every(({ isCopy }) => isCopy)).toBe(true)
    expect(new Set([own, ...names].map(({ clientId }) => clientId)).size).toBe(4)
    expect(names.every(({ clientId }) => clientId.length <= 23)).toBe(true)
    expect(nameIn(copy, 'mill')).toEqual(names[0])
    expect(nameIn(folder, 'mill')).toEqual(own)
  })
})

it('a restored copy at the same broker takes no reading away from the original', async () => {
  const { url } = await broker()
  const folder = temporaryFolder()
  const named = (data: string) => (store: Service['store']) => ({ clientId: clientIdFor(store, data).clientId })
  const before = startService(folder, url, [a], named(folder))
  await connected(before)
  await before.stop()
  const restored = temporaryFolder()
  cpSync(folder, restored, { recursive: true })
  const original = startService(folder, url, [a], named(folder))
  const copy = startService(restored, url, [a], named(restored))
  await connected(original)
  await connected(copy)
  const client = await publisher(url)
  const now = Date.now()
  for (let number = 0; number < 200; number += 1)
    await client.publishAsync(a.topic, published(20, now - 100_000 + number), { qos: 1 })
  await eventually(() => {
    expect(original.ingest.stats()).toMatchObject({ stored: 200, reconnects: 0 })
    expect(copy.ingest.stats()).toMatchObject({ stored: 200, reconnects: 0 })
  })
})

it('two services of one name on one broker: both say so', async () => {
  const { url } = await broker()
  const troubles: Record<string, (string | null)[]> = { one: [], two: [] }
  const named = (which: string) => () => ({
    clientId: 'same',
    onTrouble: (_: string, why: string | null) => troubles[which]!.push(why),
  })
  const one = startService(temporaryFolder(), url, [a], named('one'))
  await connected(one)
  const two = startService(temporaryFolder(), url, [a], named('two'))
  await eventually(() => {
    for (const which of ['one', 'two'])
      expect(troubles[which]![0]).toMatch(
        /^Another program .* as same, and takes readings away .*QUIET_IRON_MQTT_CLIENT_ID/,
      )
  })
  for (const { log } of [one, two])
    expect(log.lines.filter(line => line.startsWith('error: Another program'))).toHaveLength(1)
})

describe('a session', () => {
  const why: ClosedBecause = { text: '', versionRefused: false, unanswered: false, takenOver: false, byBroker: false }
  beforeEach(() => {
    vi.useFakeTimers()
  })
  afterEach(() => {
    vi.useRealTimers()
  })
  const watched = () => {
    const said: (string | null)[] = []
    const watch = createTakeoverWatch({ shown: 'mqtt://broker', clientId: 'same' }, each => said.push(each))
    return { said, watch }
  }

  // MQTT 5.0, 3.14.2.1: reason code 0x8E, Session taken over
  it('of which the broker says that it was taken over counts at once, until it has been left alone for ten minutes', () => {
    const { said, watch } = watched()
    expect(watch.closed({ ...why, text: 'another client', takenOver: true })).toBe(true)
    expect(said).toEqual([expect.stringContaining('has connected to the broker at mqtt://broker as same')])
    vi.advanceTimersByTime(599_000)
    watch.closed({ ...why, takenOver: true })
    vi.advanceTimersByTime(599_000)
    expect(said).toHaveLength(2)
    vi.advanceTimersByTime(1001)
    expect(said.at(-1)).toBeNull()
  })

  it('that the broker closes without a word counts at the third time within two minutes', () => {
    const { said, watch } = watched()
    const closed = () => watch.closed({ ...why, byBroker: true })
    expect([closed(), closed()]).toEqual([false, false])
    vi.advanceTimersByTime(121_000)
    expect([closed(), closed()]).toEqual([false, false])
    expect(watch.closed(why)).toBe(false)
    expect(closed()).toBe(true)
    expect(said).toEqual([expect.stringContaining('seems to connect')])
  })
})
