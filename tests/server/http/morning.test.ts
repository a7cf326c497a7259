import { describe, expect, it } from 'vitest'
import { morningCheck } from '../../../core/morning/index.js'
import type { Shop } from '../../../core/shop.js'
import { recoveredMonitor } from '../../../server/recovery.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { appFor, local, mill, nightKept, now, shop as plain } from './fakes.js'

const minute = 60_000
const hour = 60 * minute

const bores = plain.workClasses[0]!
const settles = { timeConstant: 3600, timeConstantUncertainty: 0.3 }
const shop: Shop = {
  ...plain,
  machines: [{ ...mill, nodes: mill.nodes.map(node => (node.kind === 'body' ? { ...node, ...settles } : node)) }],
  workClasses: [bores, { ...bores, id: 'plates', name: 'Plates', tolerance: 60e-6, zeroedAt: 'datum' }],
  sensors: [
    ...plain.sensors.map(sensor =>
      sensor.id === 's-column' ? { ...sensor, calibration: { due: '2026-02-20' } } : sensor,
    ),
    { ...plain.sensors[0]!, id: 'yard', topic: 't/yard', name: 'Yard', at: { kind: 'outdoors' } },
  ],
}

/** A morning of a real monitor: a night at 20 °C after which the X screw is warmer; the yard's sensor has long been silent. */
const morning = async () => {
  const store = openStore(temporaryFolder(), { shop })
  const warmer = (at: number) => (at > now - hour ? 1.2 : 0)
  const readings = []
  for (let at = now - 20 * hour; at <= now; at += minute)
    for (const { id, offset } of shop.sensors) {
      if (id === 'yard' && at > now - 2 * hour) continue
      const value = id === 's-door' ? 0 : 20 - offset + (id === 's-screw' ? warmer(at) : 0)
      readings.push({ sensor: id, at, value, receivedAt: at })
    }
  store.append(readings)
  const set = { machine: 'mill', at: now - 10 * hour, by: 'R. Iron', note: '', firstPart: true }
  await store.facts.record('datum', [{ ...set, temperatures: { air: 20, 'x-screw': 20, column: 20 }, part: 20 }])
  const monitor = await recoveredMonitor(shop, store, now)
  monitor.advance(now)
  const night = nightKept({ shop, store }, now)
  const made = await appFor({}, { shop, store, monitor, night })
  return { ...made, store, night }
}

describe('the morning check of a service', () => {
  it('has each machine with its verdicts, its night and its zero, what to mind, and what to do first', async () => {
    const { app, night, store } = await morning()
    await expect.poll(() => night.now()).not.toBeNull()
    const reply = await app.inject({ url: '/api/morning', headers: local })
    expect(reply.statusCode).toBe(200)
    const check = morningCheck.parse(reply.json())
    // Monday: the night began on Friday, and nothing is stored of most of it
    expect(check).toMatchObject({ day: '2026-03-02', night: { to: now, unusual: [] }, jobs: [] })
    const [machine] = check.machines
    expect(machine).toMatchObject({ machine: 'mill', decision: null })
    // nobody knows yet how far the screw's own heat will take it, but it is there
    expect(machine!.warmUp.kind).toMatch(/^warm/)
    expect(machine!.classes.map(({ workClass }) => workClass)).toEqual(['bores', 'plates'])
    // by hand: steel of 11.5 µm/m/K, 0.4 m from the bearing, 1.2 K warmer; heat may take 18 µm
    const moved = 11.5e-6 * 0.4 * 1.2
    expect(machine!.datum).toMatchObject({ at: now - 10 * hour, holds: true, axis: 'X' })
    expect(machine!.datum!.moved! / moved).toBeCloseTo(1, 1)
    expect(machine!.datum!.granted).toBeCloseTo(18e-6, 12)
    expect(machine!.night[0]!.growth! / moved).toBeCloseTo(1, 1)
    expect(check.sensors).toMatchObject([
      { sensor: 'yard', kind: 'lost' },
      { sensor: 's-column', kind: 'overdue', since: Date.UTC(2026, 1, 20, 23) },
    ])
    expect(check.todo.map(({ about }) => about.kind).filter(kind => kind !== 'no levelling')).toEqual([
      'sensor',
      'calibration',
    ])
    store.close()
  })

  it('is given as text, by its address, by what is accepted and by what is asked for, in the units asked for', async () => {
    const { app, store } = await morning()
    const get = (url: string, headers: Record<string, string> = {}) =>
      app.inject({ url, headers: { ...local, ...headers } })
    const answers = await Promise.all([
      get('/api/morning.txt'),
      get('/api/morning?format=text'),
      get('/api/morning', { accept: 'text/plain' }),
      get('/api/morning.txt?units=inch'),
      get('/api/morning?format=json', { accept: 'text/plain' }),
      get('/api/morning', { accept: '*/*' }),
    ])
    for (const { statusCode, headers, body } of answers.slice(0, 4)) {
      expect(statusCode).toBe(200)
      expect(headers['content-type']).toBe('text/plain; charset=utf-8')
      expect(body).toMatch(/^MORNING CHECK {2}Invented shop/)
      expect(Math.max(...body.split('\n').map(line => line.length))).toBeLessThanOrEqual(80)
    }
    expect(answers[0]!.body).toMatch(/night \(usual\), µm +zero\n Mill .* X 5\.\d /)
    expect(answers[3]!.body).toMatch(/night \(usual\), in +zero\n Mill .* X 0\.0002 /)
    for (const each of answers.slice(4)) expect(morningCheck.parse(each.json()).day).toBe('2026-03-02')
    store.close()
  })

  it('keeps what was decided for a machine, and shows the last of the day', async () => {
    const { app, store, monitor: _ } = await morning()
    const url = '/api/machines/mill/decisions'
    const decide = (payload: object) => app.inject({ method: 'POST', url, headers: local, payload })
    expect((await decide({ decision: 'wait', by: 'KM', note: 'until nine' })).statusCode).toBe(201)
    expect((await decide({ decision: 'go', by: ' KM ' })).json()).toMatchObject({
      machine: mill.id,
      kind: 'go',
      by: 'KM',
      note: '',
    })
    const check = (await app.inject({ url: '/api/morning', headers: local })).json()
    expect(check.machines[0].decision).toMatchObject({ kind: 'go', by: 'KM' })
    const { decisions } = (await app.inject({ url, headers: local })).json()
    expect(decisions.map(({ kind }: { kind: string }) => kind)).toEqual(['go', 'wait'])
    expect((await app.inject({ url: `${url}?format=csv`, headers: local })).body).toContain(',wait,KM,until nine')
    const refused = await decide({ decision: 'stop', by: '' })
    expect(refused.statusCode).toBe(400)
    expect(
      (
        await app.inject({
          method: 'POST',
          url: url.replace('mill', 'mil'),
          headers: local,
          payload: { decision: 'go', by: 'K' },
        })
      ).statusCode,
    ).toBe(404)
    store.close()
  })
})
