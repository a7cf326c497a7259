import { expect, it, onTestFinished } from 'vitest'
import { createClockWatch } from '../../../server/ingest/clock-watch.js'
import { reasons } from '../../../server/ingest/reasons.js'
import { eventually } from '../../eventually.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { sensor } from './sensors.js'
import { published, publisher, startService } from './service.js'

const minute = 60_000

const watch = () => {
  let now = 0
  const clock = createClockWatch(() => now)
  return { ...clock, pass: (ms: number) => (now += ms) }
}

it('a clock against which most sensors speak is behind, by the middle one of them', () => {
  const { heard, look } = watch()
  expect(look()).toBeUndefined()
  heard('a', 10 * minute)
  expect(look()).toMatch(/10 min behind: 1 of 1 sensors/)
  heard('b', 12 * minute)
  heard('c', 9 * minute)
  heard('d', -2000)
  expect(look()).toMatch(/10 min behind: 3 of 4 sensors/)
})

it('one wrong sensor among several does not make the service wrong, nor does half a minute', () => {
  const { heard, look } = watch()
  heard('a', 600 * minute)
  heard('b', 0)
  expect(look()).toBeNull()
  heard('a', minute)
  heard('b', minute)
  expect(look()).toBeNull()
})

it('what was said more than a minute ago does not count, and silence says nothing', () => {
  const { heard, look, pass } = watch()
  heard('a', 0)
  heard('b', 0)
  pass(minute + 1)
  expect(look()).toBeUndefined()
  heard('a', 5 * minute)
  expect(look()).toMatch(/1 of 1/)
  pass(30_000)
  heard('a', 0)
  expect(look()).toBeNull()
})

it('a clock that is behind is said within a minute; every reading refused for it is counted, and it ends with the clock', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const client = await publisher(mosquitto.url)
  const sensors = ['a', 'b', 'c'].map(id => sensor(id))
  let behind = 20 * minute
  const troubles: (string | null)[] = []
  const service = startService(temporaryFolder(), mosquitto.url, sensors, () => ({
    clock: () => Date.now() - behind,
    onTrouble: (what, why) => {
      expect(what).toBe('clock')
      troubles.push(why)
    },
  }))
  await eventually(() => expect(service.states.at(-1)).toBe('connected'))
  const send = () =>
    Promise.all(sensors.map(({ topic }) => client.publishAsync(topic, published(20, Date.now()), { qos: 1 })))
  await send()
  await eventually(() => expect(troubles[0]).toMatch(/20 min behind: 3 of 3 sensors/), minute)
  expect(service.ingest.stats()).toMatchObject({ stored: 0, refused: { [reasons.future]: 3 } })
  expect(service.store.refusals().samples).toHaveLength(3)
  behind = 0
  await send()
  await eventually(() => expect(troubles.at(-1)).toBeNull(), minute)
  expect(service.ingest.stats().stored).toBe(3)
  const said = service.log.lines.filter(line => /clock/.test(line))
  expect(said).toEqual([
    expect.stringMatching(/^error: The clock of this computer seems to be 20 min behind/),
    'info: The sensors and the clock of this computer agree again.',
  ])
})
