import { describe, expect, it } from 'vitest'
import { happenedAnswer } from '../../../core/happened/index.js'
import { type Reader, sayHappened } from '../../../core/sentences/index.js'
import type { Sensor } from '../../../core/shop.js'
import { appFor, everyMinute, local, now, shop } from './fakes.js'

const minute = 60_000
const hour = 60 * minute
const from = now - 4 * hour
const to = now - hour
/** the screw becomes 8 K warmer at once, as no screw does, so that what follows can be reckoned by hand */
const step = now - 2.5 * hour

const url = `/api/machines/mill/happened?from=${from}&to=${to}`

const afterTheStep = async () => {
  const fixture = await appFor()
  const { app, store } = fixture
  const begin = now - 8 * hour
  store.kept.set(
    's-air',
    everyMinute(begin, now, () => 21),
  )
  // its sensor reads half a kelvin low, which its offset makes good
  store.kept.set(
    's-screw',
    everyMinute(begin, now, at => (at < step ? 20.5 : 28.5)),
  )
  store.kept.set(
    's-column',
    everyMinute(begin, now, () => 20),
  )
  store.kept.set(
    's-door',
    everyMinute(begin, now, at => (at >= step - 10 * minute && at < step + 5 * minute ? 1 : 0)),
  )
  await store.facts.record('verdict', [
    { machine: 'mill', workClass: 'bores', at: begin, verdict: 'fit', thermalErrorIndex: 5, reason: null },
    {
      machine: 'mill',
      workClass: 'bores',
      at: step + 3 * minute,
      verdict: 'unfit',
      thermalErrorIndex: 80,
      reason: null,
    },
  ])
  const get = async (address = url) => {
    const reply = await app.inject({ url: address, headers: local })
    return { status: reply.statusCode, body: reply.body, json: () => reply.json() }
  }
  return { ...fixture, get }
}

const reader: Reader = { system: 'metric', zone: 'Europe/Vienna', now }

describe('what happened on a machine', () => {
  it('tells course, doors, verdicts, and what would have become of jobs begun then', async () => {
    const { get } = await afterTheStep()
    const answer = (await get()).json()
    expect(happenedAnswer.parse(answer)).toEqual(answer)
    const last = (values: (number | null)[]) => values.at(-1)
    expect(last(answer.nodes[1].value)).toBeCloseTo(29, 6)
    // 0.4 m of screw 9 K above 20 °C, and a column at 20 °C
    expect(last(answer.axes[0].growth)).toBeCloseTo(0.4 * 11.5e-6 * 9, 10)
    expect(answer.sources).toMatchObject([{ source: 'door', active: [{ from: step - 10 * minute }] }])
    expect(answer.wall[0].bands).toMatchObject([
      { from, to: step + 3 * minute, verdict: 'fit' },
      { from: step + 3 * minute, to, verdict: 'unfit' },
    ])
    const [bores] = answer.jobs
    // 6 µm of 20 are granted. A job of 30 min begun before the step has all of it within: 0.4 m · 8 K · 11.5 µm/m/K of
    // drift on a size error of 0.1 m · (21 − 21) K; after it 0.1 m · (29 − 21) K · 11.5 µm/m/K of size error
    expect(bores.granted).toBeCloseTo(6e-6, 12)
    expect(Math.abs(bores.worst.error)).toBeCloseTo(36.8e-6, 8)
    expect(bores.stretches.map(({ outcome }: { outcome: string }) => outcome)).toEqual(['within', 'beyond'])
    const [, beyond] = bores.stretches
    expect(Math.abs(beyond.from - (step - 30 * minute))).toBeLessThan(8 * minute)
    expect(beyond.to).toBe(to)
    // what the wall could not know: jobs that had begun before the step, and three minutes more
    expect(bores.shownFit).toBeCloseTo((step + 3 * minute - beyond.from) / 1000, 0)
    const told = sayHappened(answer, shop, reader)
    expect(told.headline).toBe('Bores would have been out for a part of this time')
    expect(told.course.join(' ')).toMatch(/Air stayed at 21\.0 °C\. =Door was open from 06:20 to 06:35\./)
    expect(told.course.join(' ')).toMatch(/the X screw moved most: \+8\.0 K/)
    expect(told.wall).toEqual(['For Bores the wall showed fit, then unfit from 06:33.'])
    expect(told.jobs[0]!.more).toMatch(
      /At worst X \+37 µm ± [\d.]+ µm, begun at 06:\d\d; heat may take ± 6\.0 µm\. The wall still said fit/,
    )
  })
  it('knows nothing of jobs while a needed node is not known, and of those that are not over', async () => {
    const { get, store } = await afterTheStep()
    store.kept.delete('s-column')
    const [unknown] = (await get()).json().jobs
    expect(unknown).toMatchObject({ worst: null, stretches: [{ outcome: 'not known', from, to }] })
    const fresh = await afterTheStep()
    const { jobs } = (await fresh.get(`/api/machines/mill/happened?from=${now - hour}&to=${now}`)).json()
    expect(jobs[0].stretches.map(({ outcome }: { outcome: string }) => outcome)).toEqual(['beyond', 'not over'])
  })
  it('shows the speed of the spindle where it was believed, and none beside', async () => {
    const speed: Sensor = { ...shop.sensors[0]!, id: 'speed', unit: '1/min', at: { kind: 'spindle', machine: 'mill' } }
    const { app, store } = await appFor({}, { shop: { ...shop, sensors: [...shop.sensors, speed] } })
    store.kept.set(
      'speed',
      everyMinute(now - 8 * hour, now, () => 100),
    )
    const doubted = { sensor: 'speed', since: step, basis: { kind: 'reading' as const } }
    await store.facts.record('trust', [
      { ...doubted, at: step, trust: 'suspect', fault: { kind: 'never reported' } },
      { ...doubted, at: step + hour, trust: 'ok', fault: null, basis: null },
    ])
    const { at, spindle } = (await app.inject({ url, headers: local })).json()
    const shown = (moment: number) => spindle.speed[at.findIndex((each: number) => each >= moment)]
    expect(shown(step - 10 * minute)).toBe(100)
    expect(shown(step + 30 * minute)).toBeNull()
    expect(shown(step + 70 * minute)).toBe(100)
  })
  it('lists what was done and found, with who and why', async () => {
    const { get, store } = await afterTheStep()
    await store.facts.record('datum', [
      { machine: 'mill', at: step, by: 'Ada', note: 'after lunch', temperatures: {}, firstPart: true },
      { machine: 'mill', at: now, by: 'Ada', note: 'too late for it', temperatures: {} },
    ])
    await store.facts.record('trust', [
      {
        sensor: 's-screw',
        at: step + minute,
        trust: 'suspect',
        since: step,
        fault: { kind: 'never reported' },
        basis: { kind: 'reading' },
      },
    ])
    const { marks } = (await get()).json()
    expect(marks.map(({ kind, at }: { kind: string; at: number }) => [kind, at])).toEqual([
      ['datum', step],
      ['trust', step + minute],
    ])
    const events = (await get(`${url}&format=csv&table=events`)).body
    expect(events).toMatch(/datum,mill,.*"?Datum set, a first part measured\. Ada: after lunch"?/)
    expect(events).toMatch(/source,door,.*,open or running/)
  })
  it('can be had as numbers', async () => {
    const { get } = await afterTheStep()
    const course = (await get(`${url}&format=csv`)).body.split('\r\n')
    expect(course[0]).toMatch(/^timeUtc,shopTime,air Celsius,x-screw Celsius/)
    // every two minutes, for sensors that report each minute; the headings, and the end of the last line
    expect(course.length).toBe(3 * 30 + 2)
    expect((await get(`${url}&format=csv&table=jobs`)).body).toMatch(/bores,.*,beyond,/)
  })
  it.each([
    [`from=${now + hour}&to=${now + 2 * hour}`, /lies ahead/],
    [`from=${now - 20 * 24 * hour}&to=${now}`, /longer than two weeks/],
    [`from=${now}&to=${now - hour}`, /ends .* before it begins/],
  ])('refuses %s with a reason and a remedy', async (query, words) => {
    const { get } = await afterTheStep()
    const { status, body } = await get(`/api/machines/mill/happened?${query}`)
    expect(status).toBe(400)
    expect(body).toMatch(words)
  })
})
