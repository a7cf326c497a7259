import { expect, it } from 'vitest'
import { type Courses, drives } from '../../../core/shop-model/index.js'
import { drawing } from '../../../core/statistics/drawing.js'

/** Five days beside a door that lets a twentieth of the outdoors through while it is shut, and over half of it when it is opened. */
const besideDoor = (isOpen: (i: number) => boolean): Courses => {
  const length = 5 * 288
  const draw = drawing(9)
  const noise = () => (draw(100) - 50) / 500
  const outdoors = Float64Array.from({ length }, (_, i) => 4 + 5 * Math.sin((2 * Math.PI * i) / 288))
  const hall = Float64Array.from({ length }, (_, i) => 20 + Math.sin((2 * Math.PI * i) / 500) + noise())
  const beside = hall.map((air, i) => air + (isOpen(i) ? 0.6 : 0.05) * (outdoors[i]! - air) + 0.3 + noise())
  return {
    ...{ from: 0, spacing: 300, length, outdoors },
    places: [{ id: 'hall', kind: 'shop air', machine: null, temperature: hall }],
    sources: [{ id: 'dock', name: 'Dock door', kind: 'door', state: null, beside }],
    hour: Float64Array.from({ length }, (_, i) => (i / 12) % 24),
    weekday: Uint8Array.from({ length }, (_, i) => Math.floor(i / 288)),
    works: new Uint8Array(length).fill(1),
  }
}

it('the openings of a door are read from the fast drops of the air beside it', () => {
  const isOpen = (i: number) => i % 97 < 3
  const courses = besideDoor(isOpen)
  const [drive] = drives(courses)
  expect(drive!.knownBy).toBe('air beside it')
  expect([...drive!.active].map(Boolean)).toEqual([...drive!.active].map((_, i) => isOpen(i)))
  const i = 97
  expect(drive!.pull[i]! / (courses.outdoors![i]! - courses.places[0]!.temperature[i]!)).toBeCloseTo(0.55, 1)
})

it('a door that is never opened pulls at nothing, however it leaks and whatever its sensor is off by', () => {
  expect([...drives(besideDoor(() => false))[0]!.pull].every(pull => pull === 0)).toBe(true)
})

it('a door is in the hall whose changes the air beside it shares, also where another hall is as warm as its sensor reads', () => {
  const courses = besideDoor(i => i % 97 < 3)
  const own = courses.places[0]!
  const other = own.temperature.map((t, i) => t - 0.5 + 0.3 * Math.sin((2 * Math.PI * i) / 40))
  // what leaks and the sensor is off by brings the air beside the door to what the other hall mostly is
  const two = { ...courses, places: [{ ...own, id: 'other', temperature: other }, own] }
  expect(drives(two)[0]!.around.map(({ id }) => id)).toEqual(['hall'])
})
