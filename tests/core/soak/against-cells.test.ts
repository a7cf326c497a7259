import { describe, expect, it } from 'vitest'
import { type PartSoak, soakPart } from '../../../core/soak/index.js'
import { randomStream } from '../../../simulators/random.js'
import { soakedAfter } from '../../../simulators/soaking-part.js'
import { cut, type Drawn, drawPart, drawReal, type Real } from './truth.js'

/** enough that cutting into cells costs less than what is asserted */
const cellsFor = ({ model }: PartSoak) => (model === 'lumped' ? 4 : 10)

const predicted = ({ part, start, place, surroundings, allowed }: Drawn): PartSoak =>
  soakPart(part, start, { place, course: [{ after: 0, temperature: surroundings }] }, allowed)

/** s; of the part cut into cells, in up to three dimensions */
const truth = (drawn: Drawn, cells: number, real?: Real): number => {
  const { part, start, surroundings, allowed } = drawn
  // a material of nearly no expansion may really have a negative one
  const error = Math.abs(part.material.alpha * (real?.alpha ?? 1) * part.length * (start - surroundings))
  return allowed < error ? soakedAfter(cut(drawn, real), cells, allowed / error) : 0
}

describe('random parts against the simulator’s, cut into cells', () => {
  const off = Array.from({ length: 120 }, (_, seed) => {
    const drawn = drawPart(randomStream(seed, 'soaking part'))
    const soak = predicted(drawn)
    return { soak, error: soak.ready.likely / truth(drawn, cellsFor(soak)) - 1, drawn }
  })
  const errors = (model: PartSoak['model']) => off.filter(each => each.soak.model === model).map(each => each.error)

  it('lumped, where Bi < 0.1: the time is right within 3.5 %, and never too long', () => {
    const lumped = errors('lumped')
    expect(lumped.length).toBeGreaterThan(30)
    // a slab whose Biot number is 0.1 is slower than a lump by Bi/3 (first term of its eigenvalue's series)
    expect(Math.min(...lumped)).toBeGreaterThan(-0.035)
    expect(Math.max(...lumped)).toBeLessThan(0.002)
  })

  it('by conduction, where it is not: the time is right within 1.5 %', () => {
    const conduction = errors('conduction')
    expect(conduction.length).toBeGreaterThan(30)
    expect(Math.max(...conduction.map(Math.abs))).toBeLessThan(0.015)
  })

  it('would be wrong by a quarter and more if the worst conductor of them were lumped too: the Biot number has to be looked at', () => {
    const { soak, drawn } = off.reduce((a, b) => (b.soak.biot > a.soak.biot ? b : a))
    expect(soak.biot).toBeGreaterThan(1)
    const lumped = truth(drawn, 1, { heat: 1, conductivity: 1e6, alpha: 1 })
    expect(lumped / soak.ready.likely).toBeLessThan(0.75)
  })
})

it('the true time lies between earliest and latest in at least 95 of 100 parts, whose films and properties are not the likely ones', () => {
  let [inside, early, late] = [0, 0, 0]
  const parts = 300
  for (let seed = 0; seed < parts; seed++) {
    const draws = randomStream(seed, 'real part')
    const drawn = drawPart(draws)
    const soak = predicted(drawn)
    const time = truth(drawn, soak.model === 'lumped' ? 3 : 6, drawReal(draws, drawn))
    if (time < soak.ready.earliest) early++
    else if (time > soak.ready.latest) late++
    else inside++
  }
  expect(inside / parts, `${early} earlier, ${late} later`).toBeGreaterThanOrEqual(0.95)
})
