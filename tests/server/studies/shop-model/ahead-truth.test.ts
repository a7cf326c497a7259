import { DateTime } from 'luxon'
import { expect, it } from 'vitest'
import { changeAt, NodeForecast, spreadAt } from '../../../../core/settling/index.js'
import { createDecoder } from '../../../../server/ingest/decoder.js'
import { UsualSlots } from '../../../../server/monitor/usual-slots.js'
import { sourcesAheadOf } from '../../../../server/studies/shop-model/ahead.js'
import { learningShop, toEnd } from '../../../../server/studies/shop-model/prepare.js'
import { Minutes } from '../../../exam/minutes.js'
import { livelyShop } from '../../../exam/shops.js'
import { factsInMemory } from '../../store/facts-in-memory.js'

const [minute, hour, day] = [60_000, 3_600_000, 86_400_000]
/** h after the door is shut */
const hours = [1, 4]
/** days on which it stands open from ten to twelve */
const days = 4

const rms = (values: readonly number[]) =>
  Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length)

it('a door that has stood open is shut: the air at each machine comes nearer to what is told than to "it stays"', async () => {
  const { shop, simulated, from } = livelyShop(41_301, 14)
  const door = shop.sources.find(({ kind }) => kind === 'door')!.id
  const minutes = new Minutes()
  const decode = createDecoder(shop.sensors)
  const encoder = new TextEncoder()
  const live = (to: number) =>
    simulated.advance(
      to,
      ({ topic, payload, time }) =>
        minutes.take(decode(topic, encoder.encode(payload), { retained: false, receivedAt: time }).readings),
      60,
    )
  const past = { shop, store: { facts: factsInMemory(), series: minutes.series.bind(minutes) } }
  let noon = DateTime.fromMillis(from + 6 * day, { zone: shop.timeZone }).set({ hour: 12, minute: 0, second: 0 })
  while (noon.weekday !== 1) noon = noon.plus({ days: 1 })
  const midnight = noon.startOf('day').toMillis()
  live(midnight)
  await past.store.facts.record('shop model', [await toEnd(learningShop(past, { from, to: midnight }, midnight))])
  const slots = new UsualSlots(shop.timeZone)
  const airs = shop.machines.map(machine => {
    const { id } = machine.nodes.find(({ kind }) => kind === 'air')!
    const sensor = shop.sensors.find(({ at }) => at.kind === 'node' && at.machine === machine.id && at.node === id)!.id
    return { machine, node: id, sensor, forecast: new NodeForecast(), seen: from }
  })
  const airAt = (sensor: string, at: number) => {
    const { points } = minutes.series(sensor, at - 5 * minute, at + 5 * minute)
    return points.reduce((sum, { mean }) => sum + mean, 0) / points.length
  }
  const said: {
    sensor: string
    ahead: number
    at: number
    stays: number
    told: number
    half: number
    usual: number
  }[] = []
  for (let d = 0; d < days; d++, noon = noon.plus({ days: 1 })) {
    const now = noon.toMillis()
    live(now - 2 * hour)
    simulated.setDoor(door, true)
    live(now)
    for (const { machine, node, sensor, forecast, seen } of airs) {
      for (const { at, mean } of minutes.series(sensor, seen, now).points) forecast.take(at, mean, slots.at, () => null)
      const { sources, nodes, step } = await sourcesAheadOf(past, machine, [{ source: door, at: now, on: false }], now)
      expect(sources.find(({ source }) => source === door)!.cannotBeTold).toBeNull()
      const { temperature, standardUncertainty } = nodes.find(each => each.node === node)!
      const stays = airAt(sensor, now - 3 * minute)
      const course = forecast.course(stays, slots.ahead(now), null)
      for (const ahead of hours) {
        const k = (ahead * 3600) / step - 1
        const half = 1.645 * Math.hypot(standardUncertainty[k]!, spreadAt(course, ahead * 3600))
        said.push({
          sensor,
          ahead,
          at: now + ahead * hour,
          stays,
          told: temperature[k]!,
          half,
          usual: stays + changeAt(course, ahead * 3600),
        })
      }
    }
    for (const air of airs) air.seen = now
    simulated.setDoor(door, false)
  }
  live(noon.toMillis())
  const came = said.map(each => ({ ...each, truth: airAt(each.sensor, each.at) }))
  for (const ahead of hours) {
    const of = came.filter(each => each.ahead === ahead)
    expect(of).toHaveLength(days * airs.length)
    const off = (told: (each: (typeof came)[number]) => number) => rms(of.map(each => told(each) - each.truth))
    expect(off(({ stays }) => stays)).toBeGreaterThan(1)
    expect(off(({ told }) => told)).toBeLessThan(0.4 * off(({ stays }) => stays))
    // nor does what usually comes tell it
    expect(off(({ told }) => told)).toBeLessThan(off(({ usual }) => usual))
    const within = of.filter(({ told, half, truth }) => Math.abs(told - truth) <= half)
    expect(within.length).toBeGreaterThan(0.75 * of.length)
  }
})
