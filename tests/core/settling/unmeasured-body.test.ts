import { describe, expect, it } from 'vitest'
import { type MeasuredBody, movesWithOffsets, UnmeasuredBody } from '../../../core/settling/index.js'

const step = 300
const hour = 3600
const day = 24 * hour
const settings = { timeConstant: 4 * hour, steadyExcess: 0, surroundingsPlacement: 0.2 }

/** a body that is driven so many K above its air, and how far its sensor is off */
interface Made {
  id: string
  timeConstant: number
  heat: (t: number) => number
  sensorOff?: number
}

/** air of a shop whose days go up and down by 3 K */
const shopAir = (t: number) => 20 + 3 * Math.sin((2 * Math.PI * t) / day)

/** Bodies that live beside one without a sensor, in steps of five minutes: the truth of both, and what is made of it. */
const live = (hidden: Made, measured: readonly Made[], days: number, air = shopAir, airOff = 0) => {
  const body = new UnmeasuredBody()
  const all = [hidden, ...measured]
  const temperature = all.map(({ heat }) => air(0) + heat(0))
  const errors: number[] = []
  const tell = (): MeasuredBody[] =>
    measured.map(({ id, timeConstant, sensorOff = 0 }, i) => ({
      id,
      temperature: temperature[i + 1]! + sensorOff,
      timeConstant,
      placement: 0.2,
    }))
  for (let t = 0; t <= days * day; t += step) {
    const around = air(t)
    all.forEach(({ timeConstant, heat }, i) => {
      const balance = around + heat(t)
      temperature[i] = balance + (temperature[i]! - balance) * Math.exp(-step / timeConstant)
    })
    body.follow(t * 1000, around + airOff, tell(), settings)
    errors.push(body.estimateAt(t * 1000, around + airOff, settings)!.temperature - temperature[0]!)
  }
  const at = days * day * 1000
  const estimate = body.estimateAt(at, air(days * day) + airOff, settings)!
  const lately = errors.slice(-day / step)
  return { body, at, estimate, rms: Math.sqrt(lately.reduce((sum, e) => sum + e * e, 0) / lately.length), errors }
}

const tellOf = (made: readonly Made[]) => made.map(({ timeConstant }) => ({ timeConstant, placement: 0.2 }))

const rest = () => 0
const bed = (heat: Made['heat'] = rest): Made => ({ id: 'bed', timeConstant: 4 * hour, heat })
const quiet: Made[] = [3, 2.5, 1].map((hours, i) => ({ id: `casting ${i}`, timeConstant: hours * hour, heat: rest }))
/** a draught that comes and goes, on no clock's hours */
const draught = (t: number) => (Math.sin(t / 9000) + Math.sin(t / 23_000) > 0.5 ? -3 : 0)

describe('a body without a sensor', () => {
  it('follows its surroundings alone where nothing is beside it, and is as uncertain as our judgement says', () => {
    const { rms, estimate } = live(bed(), [], 4)
    expect(rms).toBeLessThan(0.05)
    expect(estimate.departure).toBe(0)
    expect(estimate.uncertainty).toBeGreaterThan(0.4)
  })

  it('is known better the more bodies beside it follow theirs as they should, but never as if it were measured', () => {
    const [none, one, three] = [0, 1, 3].map(count => live(bed(), quiet.slice(0, count), 4).estimate.uncertainty)
    expect(one).toBeLessThan(none!)
    expect(three).toBeLessThan(one!)
    expect(three).toBeGreaterThan(0.1)
  })

  it('departs from its air as bodies of a like time constant do, where they do so together', () => {
    const moved = quiet.map(each => ({ ...each, heat: draught }))
    const beside = live(bed(draught), moved, 5)
    const alone = live(bed(draught), [], 5)
    expect(alone.rms).toBeGreaterThan(0.4)
    expect(beside.rms).toBeLessThan(0.6 * alone.rms)
  })

  it('is the less certain the more differently the bodies beside it behave, and follows none of them then', () => {
    const differing = quiet.map((each, i) => ({ ...each, heat: (t: number) => draught(t + i * 37_000) * (i - 1) }))
    const { estimate, rms } = live(bed(), differing, 5)
    expect(estimate.uncertainty).toBeGreaterThan(1.2 * live(bed(), quiet, 5).estimate.uncertainty)
    expect(rms).toBeLessThan(estimate.uncertainty)
  })

  it('is not taken to be as warm as a screw that works beside it', () => {
    const works = (t: number) => (t % day > 8 * hour && t % day < 16 * hour ? 3 : 0)
    const screw = { id: 'screw', timeConstant: 0.6 * hour, heat: works }
    const { errors } = live(bed(), [...quiet, screw], 5)
    expect(Math.max(...errors.slice(-day / step).map(Math.abs))).toBeLessThan(0.15)
  })

  it('sees by all that stay off alike that the sensor in the air does not stand where the air is as it is', () => {
    const beside = live(bed(), quiet, 5, shopAir, 0.4)
    expect(live(bed(), [], 5, shopAir, 0.4).rms).toBeGreaterThan(0.35)
    expect(beside.rms).toBeLessThan(0.3)
    // what one of them alone stays off is its own sensor's
    const one = quiet.map((each, i) => ({ ...each, sensorOff: i === 0 ? 0.4 : 0 }))
    expect(live(bed(), one, 5).rms).toBeLessThan(0.15)
  })

  it('is very uncertain at first, until where it began is forgotten', () => {
    const body = new UnmeasuredBody()
    body.follow(0, 20, [], settings)
    expect(body.estimateAt(0, 20, settings)!.uncertainty).toBeGreaterThan(1.3)
    expect(body.estimateAt(16 * hour * 1000, 20, settings)!.uncertainty).toBeLessThan(0.5)
  })

  it('moves with corrections as it would have been predicted with them from the beginning', () => {
    const parts = movesWithOffsets(settings.timeConstant, tellOf(quiet), settings.surroundingsPlacement)
    const after = (days: number) => {
      const { body, at, estimate } = live(bed(), quiet, days)
      const change = () => body.estimateAt(at, shopAir(days * day), settings)!.temperature - estimate.temperature
      body.shiftBeside('casting 0', 0.5)
      const byCasting = change()
      body.shiftBeside('casting 0', -0.5)
      body.shift(0.5)
      return { byCasting, byAir: change() }
    }
    const { byCasting, byAir } = after(4)
    expect(byCasting).toBeCloseTo(0.5 * parts.measured[0]!, 3)
    expect(byAir).toBeCloseTo(0.5 * parts.surroundings, 3)
    const off = quiet.map((each, i) => ({ ...each, sensorOff: i === 0 ? 0.5 : 0 }))
    const [with_, without] = [off, quiet].map(beside => live(bed(), beside, 4).estimate.temperature)
    expect(with_! - without!).toBeCloseTo(byCasting, 6)
  })
})
