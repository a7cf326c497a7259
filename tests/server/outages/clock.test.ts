import { expect, it, onTestFinished } from 'vitest'
import { eventually, until } from '../../eventually.js'
import { faultOf } from '../../in-words.js'
import { startMosquitto } from '../../mosquitto.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { publisher } from '../ingest/service.js'
import { type ShopInTrouble, shopInTrouble } from './shop-in-trouble.js'

const hour = 3_600_000
const minute = 60_000
/** ms; between reports: a minute at once, and the time that passes besides, would be a clock that was set */
const every = 50_000
/** min; so long a node must have been watched before a verdict rests on it, and a little to spare */
const watchedFor = 12

const start = async (data = temporaryFolder()) => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  let offset = 0
  const clock = () => Date.now() + offset
  const watched = await shopInTrouble({ broker: mosquitto.url, clock, data })
  const step = (by: number) => {
    offset += by
  }
  /** the shop lives so long, every sensor reporting about once a minute */
  const live = async (minutes: number) => {
    for (let passed = 0; passed < minutes * minute; passed += every) {
      step(every)
      const time = await watched.report()
      // a step that the service has not seen yet would be one with the next, and its clock set
      await until(
        () => watched.service.monitor.shop(),
        ({ newestReading, at }) => newestReading !== null && newestReading >= time && at >= time,
      )
    }
  }
  return { watched, step, live, clock }
}

const trusted = ({ service }: ShopInTrouble) => service.monitor.sensors().map(({ trust }) => trust)

type Running = Awaited<ReturnType<typeof start>>

/** @param most minutes */
const liveUntil = async ({ watched, live }: Running, right: (verdict: string) => boolean, most: number) => {
  for (let minutes = 0; minutes < most && !right(watched.verdict()); minutes += 1) await live(1)
  const { verdict, reasons } = watched.service.monitor.machine('mill')!.classes[0]!
  expect(right(verdict), `${verdict}: ${JSON.stringify(reasons)}`).toBe(true)
}
const isFit = (verdict: string) => verdict === 'fit'
const isKnown = (verdict: string) => verdict !== 'unknown'

it('clock set back by two hours: never fit on what is old, and alive again with the next readings', async () => {
  const running = await start()
  const { watched, step, live, clock } = running
  await liveUntil(running, isFit, 60)
  const before = clock()
  const reported = watched.stored()
  step(-2 * hour)
  await until(watched.verdict, verdict => verdict === 'unknown')
  expect(trusted(watched)).not.toContain('ok')
  expect(faultOf(watched.service.monitor.sensors()[0]!)).toMatch(/clock was set back/)
  expect(watched.lines.filter(line => line.startsWith('The clock went back by 2 h'))).toHaveLength(1)
  // sensors that follow the same clock
  await live(1)
  await eventually(() => expect(trusted(watched)).not.toContain('lost'))
  await liveUntil(running, isKnown, watchedFor)
  const { at } = watched.service.monitor.machine('mill')!
  expect(at).toBeLessThan(before - hour)
  await liveUntil(running, isFit, 60)
  const stored = watched.stored()
  // and once they are silent, no more
  step(10 * minute)
  await until(watched.verdict, verdict => verdict === 'unknown')
  // nothing stored is lost
  expect(watched.stored()).toBe(stored)
  expect(stored).toBeGreaterThan(reported)
})

it('clock set forward by three hours and, corrected, back again', async () => {
  const running = await start()
  const { watched, step } = running
  await liveUntil(running, isFit, 60)
  step(3 * hour)
  await until(watched.verdict, verdict => verdict === 'unknown')
  expect(watched.banner()).toBe('readings')
  expect((await watched.health()).code).toBe(503)
  expect(watched.lines.filter(line => line.startsWith('The clock went forward by 3 h'))).toHaveLength(1)
  await liveUntil(running, isKnown, watchedFor)
  step(-3 * hour)
  await until(watched.verdict, verdict => verdict === 'unknown')
  await liveUntil(running, isKnown, watchedFor)
  expect(watched.banner()).toBeNull()
  expect((await watched.health()).code).toBe(200)
})

it('started again after the clock was corrected: readings of later times do not hide what comes now', async () => {
  const data = temporaryFolder()
  const running = await start(data)
  await liveUntil(running, isFit, 60)
  await running.watched.service.stop()
  const again = await start(data)
  // the first one's time was ahead of this one's by the minutes it lived
  expect(trusted(again.watched)).not.toContain('ok')
  // what is newest in the database is of a later time, so that nothing else tells whether these have come
  await again.live(1)
  await eventually(() => expect(trusted(again.watched)).not.toContain('lost'))
})

it('clock 20 min behind the sensors’: within a minute unwell, on the pages too, and well again once it is right', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const client = await publisher(mosquitto.url)
  let behind = 20 * minute
  const watched = await shopInTrouble({ broker: mosquitto.url, clock: () => Date.now() - behind })
  const send = () =>
    Promise.all(
      watched.topics.map(topic =>
        client.publishAsync(topic, JSON.stringify({ value: 20, time: Date.now() }), { qos: 1 }),
      ),
    )
  await send()
  const isBehind = ({ reasons }: { reasons: string[] }) => reasons.some(each => /clock .* 20 min behind/.test(each))
  expect((await until(watched.health, isBehind)).code).toBe(503)
  expect(watched.banner()).toBe('trouble')
  expect(watched.stored()).toBe(0)
  behind = 0
  const isWell = async () => {
    await send()
    return watched.health()
  }
  await until(isWell, ({ code }) => code === 200)
  expect(watched.banner()).toBeNull()
})
