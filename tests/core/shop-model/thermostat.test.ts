import { expect, it } from 'vitest'
import type { Drive, Place } from '../../../core/shop-model/index.js'
import { answersTheAir } from '../../../core/shop-model/thermostat.js'
import { drawing } from '../../../core/statistics/drawing.js'

const length = 10 * 288

/** A hall that cools by the day's weather, with a heater that its air switches between 19.7 and 20.3 °C, or that runs at any time. */
const heated = (byItsAir: boolean) => {
  const draw = drawing(5)
  const temperature = new Float64Array(length)
  const active = new Float64Array(length)
  let [air, on] = [20, false]
  for (let i = 0; i < length; i++) {
    if (byItsAir) on = air < 19.7 || (on && air < 20.3)
    else if (draw(12) === 0) on = !on
    const outdoors = 5 + 6 * Math.sin((2 * Math.PI * i) / 288) + 3 * Math.sin((2 * Math.PI * i) / 1000)
    air += 0.01 * (outdoors - air) + (on ? 0.25 : 0)
    temperature[i] = air + (draw(100) - 50) / 2500
    active[i] = Number(on)
  }
  const place: Place = { id: 'hall', kind: 'shop air', machine: null, temperature }
  const source = { id: 'heater', name: 'Heater', kind: 'heat source' as const, state: active, beside: null }
  const drive: Drive = { source, pull: active, active, knownBy: 'state' }
  return { place, drive }
}

it('a heater that the air itself switches is the heating, one that runs at any time is not, and no door is one', () => {
  const [thermostat, oven] = [heated(true), heated(false)]
  expect(answersTheAir([thermostat.place], thermostat.drive)).toBe(true)
  expect(answersTheAir([oven.place], oven.drive)).toBe(false)
  const door = { ...thermostat.drive, source: { ...thermostat.drive.source, kind: 'door' as const } }
  expect(answersTheAir([thermostat.place], door)).toBe(false)
  expect(answersTheAir([], thermostat.drive)).toBe(false)
})

it('a vent is led by its room where its supply moves more than the room does, not where it blows at one temperature or by hours', () => {
  const draw = drawing(6)
  const room = Float64Array.from({ length }, () => 20 + (draw(100) - 50) / 500)
  const place: Place = { id: 'room', kind: 'shop air', machine: null, temperature: room }
  const vent = (beside: Float64Array): Drive => ({
    source: { id: 'vent', name: 'Vent', kind: 'vent', state: null, beside },
    ...{ pull: beside, active: beside, knownBy: 'air beside it' },
  })
  const supply = room.map((_, i) => 19 + 3 * Math.sin((2 * Math.PI * i) / 288))
  expect(answersTheAir([place], vent(supply))).toBe(true)
  expect(answersTheAir([place], vent(room.map((_, i) => 17 + (i % 2) / 50)))).toBe(false)
  expect(answersTheAir([place], vent(room.map((air, i) => (i % 288 < 144 ? supply[i]! : air))))).toBe(false)
})
