import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { thermalLoop } from '../../../core/growth/index.js'
import { effectsBetween } from '../../../core/learning/index.js'
import type { Shop } from '../../../core/shop.js'
import type { MachineState } from '../../../core/state.js'
import {
  byNode,
  growthOver,
  nodesAt,
  partAt,
  temperaturesAt,
  temperaturesOver,
  uncertaintyOf,
} from '../../../server/history/index.js'
import { growthAnswer, temperaturesAnswer } from '../../../server/http/schemas/answers.js'
import { environmentAnswer } from '../../../server/http/schemas/measured.js'
import { createMonitor } from '../../../server/monitor/index.js'
import { openStore } from '../../../server/store/sqlite.js'
import { learningOf, rememberedNodes } from '../../../server/studies/learning/learning.js'
import { createSimulatedShop, demoPlant } from '../../../simulators/index.js'
import { demoShop } from '../../demo-shop.js'
import { toldBy } from '../../told.js'
import { appFor, local } from '../http/fakes.js'

const minute = 60_000
const hour = 60 * minute
const from = Date.UTC(2026, 0, 12, 5)
const to = from + 24 * hour
/** what its sensors usually do is known by then */
const before = from - 3 * 24 * hour
const bin = 5 * minute
const id = 'mill-1'

/** the demo's Mill 1 alone; where its X screw is not known, its Y screw stands in for it */
const shopOfOne = (): Shop => {
  const whole = demoShop()
  const mill = whole.machines.find(m => m.id === id)!
  const nodes = mill.nodes.map(node =>
    node.id === 'x-screw' ? { ...node, standIn: { node: 'y-screw', uncertainty: 1.2 } } : node,
  )
  return {
    ...whole,
    machines: [{ ...mill, nodes }],
    sensors: whole.sensors.filter(s => s.at.kind === 'node' && s.at.machine === id),
  }
}

const at = (hours: number) => from + hours * hour
const node = (sensor: string) => `${id}-${sensor}`

/** A day of the machine through monitor and store: what is stored of it, and what the monitor said each minute. */
const live = () => {
  const shop = shopOfOne()
  const store = openStore(folder)
  const simulated = createSimulatedShop(demoPlant, { seed: 5, start: before, scenario: 'demo' })
  const monitor = createMonitor({ shop })
  monitor.setFilling(0, 60)
  monitor.onChange(({ trust }) => void store.facts.record('trust', trust))
  const told = toldBy(simulated, shop)
  const signed = { by: 'Ada', note: '' }
  const happens: Record<number, () => void> = {
    [at(4)]: () => simulated.fault(node('column'), 'unplugged'),
    [at(6.5)]: () => simulated.fault(node('column'), null),
    [at(8)]: () => simulated.fault(node('x-screw'), 'fell-off'),
    [at(14)]: () => simulated.fault(node('x-screw'), null),
    [at(16)]: () => {
      const change = { sensor: node('head'), at: at(16), ...signed, oldOffset: 0, newOffset: 0.4 }
      void store.facts.record('offset', [{ ...change, found: null, takesBack: null }])
      monitor.setOffset(node('head'), 0.4)
    },
    [at(18)]: () => {
      void store.facts.record('factors', [
        { machine: id, at: at(18), ...signed, factors: { 'Y screw': 1.3 }, shown: null },
      ])
      monitor.setFactors(id, { 'Y screw': 1.3 })
    },
    [at(19)]: () => simulated.fault(node('air'), 'spike'),
    [at(21)]: () => simulated.fault(node('air'), null),
  }
  const said: MachineState[] = []
  const datums = new Map<number, ReturnType<typeof monitor.datumNow>>()
  for (let now = before + minute; now <= to; now += minute) {
    happens[now]?.()
    const readings = told(now, 60)
    store.append(readings)
    monitor.take(readings)
    monitor.advance(now)
    if (now > from) said.push(monitor.machine(id)!)
    if ([3, 12, 17].some(hours => now === at(hours))) datums.set(now, monitor.datumNow(id))
  }
  return { shop, machine: shop.machines[0]!, store, monitor, said, datums }
}

const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-'))
let day: ReturnType<typeof live>
beforeAll(() => {
  day = live()
})
afterAll(() => {
  day.store.close()
  rmSync(folder, { recursive: true, force: true })
})

/** what the monitor said in each interval of the history */
const saidIn = (begin: number) => day.said.filter(s => s.at > begin && s.at <= begin + bin)
const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length

/** an interval in which what the monitor took for a node did not change, °C; null while it took nothing, else undefined */
const heldIn = (begin: number, i: number) => {
  const states = saidIn(begin).map(state => state.nodes[i]!)
  const [first] = states
  const known = first!.temperature !== null
  if (states.some(each => (each.temperature !== null) !== known || each.standIn !== first!.standIn)) return undefined
  return known ? { temperature: mean(states.map(each => each.temperature!)), standIn: first!.standIn } : null
}
/** the monitor watches a body for ten minutes before it believes it */
const watched = at(10 / 60)
const past = () => ({ shop: day.shop, store: day.store })
const span = { from, to }
const points = (to - from) / bin

describe('the history of a day with a fallen sensor, a silent one, spikes, an offset and factors that were accepted', () => {
  it('agrees with what the monitor said, node by node', async () => {
    const { machine } = day
    const { rows, width } = await temperaturesOver(past(), machine, span, points)
    expect(width).toBe(bin)
    expect(rows).toHaveLength(points)
    // K; the monitor's filters smooth, most in the air, and what is predicted follows that
    const allowed = { air: 0.8, bed: 0.5 }
    machine.nodes.forEach(({ id: name }, i) => {
      let compared = 0
      for (const { at: begin, nodes } of rows) {
        const held = begin < watched ? undefined : heldIn(begin, i)
        if (held === undefined) continue
        compared++
        const where = `${name} at ${(begin - from) / hour} h`
        const then = nodes[i]
        expect(then && { standIn: then.from !== 'sensor' }, where).toEqual(held && { standIn: held.standIn })
        if (!then || !held) continue
        const far = Math.abs(then.temperature - held.temperature)
        expect(far, where).toBeLessThan(allowed[name as keyof typeof allowed] ?? 0.2)
      }
      expect(compared, name).toBeGreaterThan(0.97 * points)
    })
  })

  it('takes a stand-in with its larger uncertainty for as long as the verdicts did, and not before it was found', async () => {
    const { machine, store } = day
    const found = await store.facts.of('trust', { subject: node('x-screw') })
    expect(found.map(({ trust }) => trust)).toEqual(['suspect', 'suspect', 'ok'])
    const { rows } = await temperaturesOver(past(), machine, span, points)
    const screw = machine.nodes.findIndex(({ id: name }) => name === 'x-screw')
    const standIn = rows.filter(({ nodes }) => nodes[screw]!.from === 'stand-in').map(row => row.at)
    expect(Math.abs(standIn[0]! - found[0]!.at)).toBeLessThanOrEqual(bin)
    expect(Math.abs(standIn.at(-1)! + bin - found[2]!.at)).toBeLessThanOrEqual(bin)
    expect(standIn.at(-1)! - standIn[0]!).toBe((standIn.length - 1) * bin)
    expect(standIn.length * bin).toBeGreaterThan(6 * hour)
    const uncertainty = (hours: number) => uncertaintyOf(rows.find(row => row.at === at(hours))!.nodes[screw]!)
    expect(uncertainty(10)).toBeGreaterThanOrEqual(1.2)
    expect(uncertainty(3)).toBeLessThan(0.4)
  })

  it('has growth as the monitor had it, with the factors and offsets in force then', async () => {
    const { machine } = day
    const { rows } = await growthOver(past(), machine, span, points)
    machine.axes.forEach(({ id: name }, i) => {
      for (const { at: begin, axes } of rows) {
        const live = saidIn(begin).map(state => state.growth[i]!.atWork)
        if (begin < watched || live.some(value => value === null) !== live.every(value => value === null)) continue
        const where = `${name} at ${(begin - from) / hour} h`
        const { atWork, uncertainty } = axes[i]!
        if (live[0] === null) expect(atWork, where).toBeNaN()
        // where a stand-in begins or ends, growth steps within the interval
        else if (new Set(saidIn(begin).map(({ nodes }) => nodes.map(n => n.standIn).join())).size === 1) {
          expect(Math.abs(atWork - mean(live as number[])), where).toBeLessThan(1e-6)
          expect(uncertainty, where).toBeGreaterThan(0.5e-6)
        }
      }
    })
    // with today's corrections all day long, the Y screw grows as the accepted factor says also before it was accepted
    const corrected = await growthOver(past(), machine, span, points, to)
    const y = machine.axes.findIndex(({ id: name }) => name === 'Y')
    const growthAt = ({ rows: all }: typeof corrected, hours: number) => all.find(row => row.at === at(hours))!.axes[y]!
    expect(growthAt(corrected, 12).atTravel).not.toBeCloseTo(growthAt({ rows, width: bin }, 12).atTravel, 6)
    expect(growthAt(corrected, 23)).toEqual(growthAt({ rows, width: bin }, 23))
  })

  it('shows the same in the chart and in the CSV, gaps and stand-ins', async () => {
    const { app } = await appFor({}, { shop: day.shop, store: day.store, monitor: day.monitor, clock: () => to })
    const address = `/api/machines/${id}/growth?from=${from}&to=${to}&points=${points}`
    const get = async (more = '') => app.inject({ url: `${address}${more}`, headers: local })
    const { axes } = growthAnswer.parse((await get()).json())
    const lines = (await get('&format=csv')).body
      .trimEnd()
      .split('\r\n')
      .map(line => line.split(','))
    for (const { axis, points: all } of axes) {
      const own = lines.filter(([name]) => name === axis)
      expect(own.map(([, moment, , , atWork, , , standIn]) => [Number(moment), Number(atWork), standIn])).toEqual(
        all.map(p => [p.at, p.atWork, String(p.standIn ?? false)]),
      )
      const known = (hours: number) => all.find(p => p.at === at(hours))
      expect(known(12)?.standIn, axis).toBe(axis === 'X' ? true : undefined)
      expect(known(3), axis).toBeDefined()
      // the column's sensor was silent: what depends on it has a gap
      if (axis === 'Z') expect(all.filter(p => p.at > at(4.1) && p.at < at(6.5))).toEqual([])
    }
    expect(axes.map(({ axis }) => axis)).toContain('Z')

    const rest = `/api/machines/${id}/environment?from=${from}&to=${to}&window=3600`
    const atRest = environmentAnswer.parse((await app.inject({ url: rest, headers: local })).json())
    const z = atRest.axes.find(({ axis }) => axis === 'Z')!.growth
    expect(z.filter((_, i) => atRest.at[i]! > at(4.1) && atRest.at[i]! < at(6.5)).every(g => g === null)).toBe(true)
    expect(z.filter((_, i) => atRest.at[i]! > at(7)).every(g => g !== null)).toBe(true)

    const temperatures = `/api/machines/${id}/temperatures?from=${from}&to=${to}&points=${points}`
    const { nodes } = temperaturesAnswer.parse((await app.inject({ url: temperatures, headers: local })).json())
    const screw = nodes.find(n => n.node === 'x-screw')!.points
    const other = nodes.find(n => n.node === 'y-screw')!.points
    for (const { at: moment, takenFrom, temperature } of screw)
      if (takenFrom) expect(temperature).toBe(other.find(p => p.at === moment)!.temperature)
    expect(screw.filter(p => p.takenFrom === 'stand-in').length * bin).toBeGreaterThan(6 * hour)
  })

  it('is what learning uses: a stand-in counts for less, and where nothing was believed, nothing', async () => {
    const { machine, store } = day
    const measured = (axis: string, zero: number, then: number) => ({
      ...{ machine: id, axis, position: machine.axes.find(a => a.id === axis)!.workAt, zeroAt: at(zero), at: at(then) },
      ...{ value: 3e-6, uncertainty: 0.5e-6, enteredAt: to, by: 'Ada', note: '' },
    })
    await store.facts.record('measurement', [
      measured('X', 2, 3.5),
      measured('Y', 2, 12),
      measured('X', 2, 12),
      measured('Z', 2, 5),
      measured('Z', 15.9, 17),
    ])
    const { judged } = await learningOf({ ...past(), store }, machine, rememberedNodes(past()))
    const of = (axis: string, then: number) =>
      judged.find(({ measurement: m }) => m.axis === axis && m.at === at(then))!
    expect(of('X', 3.5).growth!.uncertainty).toBe(0.5e-6)
    expect(of('Y', 12).growth!.uncertainty).toBe(0.5e-6)
    expect(of('X', 12).growth!.uncertainty).toBeGreaterThan(3e-6)
    // the screw that stands in for the fallen sensor's: what the fallen one read is nowhere in it
    const [before, after] = [await nodesAt(past(), machine, at(2), at(12)), await nodesAt(past(), machine, at(12))]
    const nodeAt = (nodes: typeof before, name: string) => nodes[machine.nodes.findIndex(n => n.id === name)]!
    expect(nodeAt(after, 'x-screw').temperature).toBe(nodeAt(after, 'y-screw').temperature)
    expect(of('X', 12).growth!.effects).toEqual(
      effectsBetween(
        thermalLoop(machine, 20),
        'X',
        machine.axes.find(a => a.id === 'X')!.workAt,
        byNode(machine, before),
        byNode(machine, after),
      ),
    )
    expect(of('Z', 5)).toMatchObject({ growth: null, why: 'column: no reading near the time was believed' })
    // an offset accepted between zero and reading is no growth of the head, which lies in the Z loop
    const head = machine.nodes.findIndex(({ id: name }) => name === 'head')
    const [own, moved] = [await nodesAt(past(), machine, at(15.9)), await nodesAt(past(), machine, at(15.9), at(17))]
    expect(moved[head]!.temperature - own[head]!.temperature).toBeCloseTo(0.4, 9)
    const sum = (effects: Record<string, number>) => Object.values(effects).reduce((total, each) => total + each, 0)
    const grown = async (zero: typeof own) =>
      sum(
        effectsBetween(
          thermalLoop(machine, 20),
          'Z',
          machine.axes.find(a => a.id === 'Z')!.workAt,
          byNode(machine, zero),
          byNode(machine, await nodesAt(past(), machine, at(17))),
        ),
      )
    expect(sum(of('Z', 17).growth!.effects)).toBeCloseTo(await grown(moved), 12)
    expect(Math.abs((await grown(own)) - (await grown(moved)))).toBeGreaterThan(0.5e-6)
  })

  it('tells the temperatures of one past moment as the monitor would have stored them for a datum', async () => {
    const { machine } = day
    for (const hours of [3, 12, 17, 20.5]) {
      const { nodes } = day.said.find(state => state.at === at(hours))!
      const then = await temperaturesAt(past(), machine, at(hours))
      const part = await partAt(past(), machine, at(hours))
      const datum = day.datums.get(at(hours))
      // °C; the air's eddies that the monitor's part follows are smoothed here
      if (datum) expect(Math.abs(part! - datum.part!), `part at ${hours} h`).toBeLessThan(0.2)
      else expect(machine.nodes.filter(n => !(n.id in then)).length, `${hours} h`).toBeGreaterThan(0)
      for (const { node: name, temperature } of nodes) {
        if (temperature === null) expect(then[name], `${name} at ${hours} h`).toBeUndefined()
        else expect(Math.abs(then[name]! - temperature), `${name} at ${hours} h`).toBeLessThan(0.5)
      }
    }
    expect(await temperaturesAt(past(), machine, at(5))).not.toHaveProperty('column')
  })
})
