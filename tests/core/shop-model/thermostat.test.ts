import { expect, it } from 'vitest'
import type { Place } from '../../../core/shop-model/index.js'
import { answersTheAir } from '../../../core/shop-model/thermostat.js'
import { drawing } from '../../../core/statistics/drawing.js'

const length = 10 * 288
const courses = (places: Place[]) => ({ places, spacing: 300, length })

/** A hall that cools by the day's weather, with a heater that its air switches between 19.7 and 20.3 °C, or that runs at any time. */
const heated = (byItsAir: boolean, season = 5) => {
  const draw = drawing(5)
  const temperature = new Float64Array(length)
  const active = new Float64Array(length)
  let [air, on] = [20, false]
  for (let i = 0; i < length; i++) {
    if (byItsAir) on = air < 19.7 || (on && air < 20.3)
    else if (draw(12) === 0) on = !on
    const outdoors = season + 6 * Math.sin((2 * Math.PI * i) / 288) + 3 * Math.sin((2 * Math.PI * i) / 1000)
    air += 0.01 * (outdoors - air) + (on ? 0.25 : 0)
    temperature[i] = air + (draw(100) - 50) / 2500
    active[i] = Number(on)
  }
  const place: Place = { id: 'hall', kind: 'shop air', machine: null, temperature }
  const source = { id: 'heater', name: 'Heater', kind: 'heat source' as const, state: active, beside: null }
  const drive = { source, active }
  return { place, drive }
}

it('a heater that the air itself switches is the heating, one that runs at any time is not, and no door is one', () => {
  const [thermostat, oven] = [heated(true), heated(false)]
  expect(answersTheAir(courses([thermostat.place]), thermostat.drive)).toBe(true)
  expect(answersTheAir(courses([oven.place]), oven.drive)).toBe(false)
  const door = { ...thermostat.drive, source: { ...thermostat.drive.source, kind: 'door' as const } }
  expect(answersTheAir(courses([thermostat.place]), door)).toBe(false)
  expect(answersTheAir(courses([]), thermostat.drive)).toBe(false)
})

it('a heater that comes on but a few times is known by both its limits, an oven that runs by the clock is not', () => {
  const { place, drive } = heated(true, 20)
  const on = drive.active.reduce((count, is, i) => count + Number(is > (drive.active[i - 1] ?? 0)), 0)
  expect(on).toBeLessThan(60)
  expect(answersTheAir(courses([place]), drive)).toBe(true)
  // each day from eight to twelve, in a hall that its heating keeps between two temperatures
  const daily = drive.active.map((_, i) => Number(i % 288 >= 96 && i % 288 < 144))
  expect(answersTheAir(courses([place]), { ...drive, active: daily })).toBe(false)
})

it('a heater that a set value starts each morning is known by where it goes off', () => {
  // let alone at night, for as long as the hall takes to cool by the weather of that night
  const temperature = new Float64Array(length)
  const active = new Float64Array(length)
  const draw = drawing(8)
  let [air, on] = [20, false]
  for (let i = 0; i < length; i++) {
    const [hour, night] = [i % 288, Math.floor(i / 288)]
    on = hour >= 66 && air < (on ? 20.3 : 19) && hour < 100
    air += 0.01 * ((night % 5) * 5 - 4 - air) + (on ? 0.7 : 0) + (draw(100) - 50) / 2000
    temperature[i] = air
    active[i] = Number(on)
  }
  const place: Place = { id: 'hall', kind: 'shop air', machine: null, temperature }
  const source = { id: 'heater', name: 'Heater', kind: 'heat source' as const, state: active, beside: null }
  expect(answersTheAir(courses([place]), { source, active })).toBe(true)
})

it('a vent that is led close to the air that it keeps is known by how often its air meets the room’s', () => {
  const draw = drawing(7)
  const room = Float64Array.from({ length }, () => 20 + (draw(100) - 50) / 1000)
  const ripple = room.map((_, i) => 20 + 0.8 * Math.sin((2 * Math.PI * i) / 2.6))
  const active = ripple.map(value => Number(Math.abs(value - 20) > 0.4))
  const source = { id: 'vent', name: 'Vent', kind: 'vent' as const, state: null, beside: ripple }
  const drive = { source, active }
  const place: Place = { id: 'room', kind: 'shop air', machine: null, temperature: room }
  expect(answersTheAir(courses([place]), drive)).toBe(true)
  expect(answersTheAir(courses([place]), { ...drive, active: active.map(() => 1) })).toBe(false)
})

it('a vent is led by its room where its supply moves more than the room does, not where it blows at one temperature or by hours', () => {
  const draw = drawing(6)
  const room = Float64Array.from({ length }, () => 20 + (draw(100) - 50) / 500)
  const place: Place = { id: 'room', kind: 'shop air', machine: null, temperature: room }
  const vent = (beside: Float64Array) => ({
    source: { id: 'vent', name: 'Vent', kind: 'vent' as const, state: null, beside },
    active: beside,
  })
  const supply = room.map((_, i) => 19 + 3 * Math.sin((2 * Math.PI * i) / 288))
  expect(answersTheAir(courses([place]), vent(supply))).toBe(true)
  expect(answersTheAir(courses([place]), vent(room.map((_, i) => 17 + (i % 2) / 50)))).toBe(false)
  expect(answersTheAir(courses([place]), vent(room.map((air, i) => (i % 288 < 144 ? supply[i]! : air))))).toBe(false)
})
