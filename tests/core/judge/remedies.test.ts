import { describe, expect, it } from 'vitest'
import { thermalLoop } from '../../../core/growth/index.js'
import { bestOf, nominalErrors, type Outlook, ownRemedy, type Situation } from '../../../core/judge/index.js'
import { causeOfUncertainty } from '../../../core/judge/uncertainty-cause.js'
import type { Leaves, Remedy } from '../../../core/state.js'
import { machineWith, screwAxis, workClass } from '../machines.js'

const machine = machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw', { workAt: 0.1 })] })
const now = 1e12
const minutes = (of: number) => now + of * 60_000

/** Screw and part on their way to the air, all well known. */
const outlook = (air: number, screw: number, part = air): Outlook => {
  const known = {
    timeConstantUncertainty: 0.05,
    steadyUncertainty: 0.05,
    calibration: 0.02,
    placement: 0.05,
    ordinaryChange: 0.05,
  }
  return {
    loop: thermalLoop(machine, 20),
    nodes: [
      { ...known, temperature: air, steadyTemperature: air, timeConstant: Number.POSITIVE_INFINITY, follows: -1 },
      { ...known, temperature: screw, steadyTemperature: air, timeConstant: 2400, follows: 0 },
    ],
    part: {
      temperature: part,
      steadyTemperature: air,
      timeConstant: 1800,
      uncertainty: 0.1,
      uncertaintySoaked: 0.1,
      slope: 0,
    },
    datum: null,
  }
}
const situation = (over: Partial<Situation> & Pick<Situation, 'outlook'>): Situation => ({
  workClass: workClass(),
  limit: 26,
  now,
  proof: 600,
  fitBy: null,
  airChange: () => 0,
  open: null,
  ...over,
})
const leaves = (of: Remedy | null): Leaves => {
  if (!of || !('leaves' in of)) throw new Error(`nothing is computed of ${of?.kind}`)
  return of.leaves
}

describe('remedy', () => {
  const door = { source: 'door', name: 'Dock door', before: 20 }

  it('is to shut the door that let the air fall, and says when it is fit then and what stays', () => {
    const found = ownRemedy(situation({ outlook: outlook(17, 19.5, 19.5), open: door }))
    expect(found).toMatchObject({ kind: 'shut', source: 'door' })
    const { fitBy, error, uncertainty, granted } = leaves(found)
    expect(error + uncertainty).toBeLessThanOrEqual(granted)
    expect(fitBy).toBeGreaterThan(minutes(10))
    expect(fitBy).toBeLessThan(minutes(250))
  })

  it('is not to shut a door before which it was no better', () => {
    const found = ownRemedy(situation({ outlook: outlook(17, 17.5), open: { ...door, before: 16.5 } }))
    expect(found?.kind).toBe('air')
  })

  it('says of what helps most, but is not enough, how far it gets, and promises nothing', () => {
    const found = ownRemedy(situation({ outlook: outlook(15, 16), open: { ...door, before: 16 } }))
    expect(found?.kind).toBe('shut')
    const { fitBy, error, uncertainty, granted } = leaves(found)
    expect(fitBy).toBeNull()
    expect(error + uncertainty).toBeGreaterThan(granted)
  })

  it('is to zero again where only the zero has moved: at one place if that will do, else with a first part', () => {
    const datum = { nodes: Float64Array.of(20, 17), part: 20, firstPart: true }
    const plates = workClass({ zeroedAt: 'datum', featureLength: 0.02 })
    const moved = ownRemedy(situation({ outlook: { ...outlook(20, 20), datum }, workClass: plates }))
    expect(moved).toMatchObject({ kind: 'zero', first: false, leaves: { fitBy: minutes(10) } })
    // what a warm scale does over a length stays with a zero at one place: 11.5 µm/m/K × 0.5 m × 4 K less the part's
    const long = workClass({ zeroedAt: 'datum', featureLength: 0.5, tolerance: 40e-6 })
    const warm = ownRemedy(situation({ outlook: { ...outlook(24, 24), datum }, workClass: long }))
    expect(warm).toMatchObject({ kind: 'zero', firstPart: true })
    expect(leaves(warm).error).toBeLessThan(1e-6)
  })

  it('promises nothing of a zero from which the machine moves on before it has proved itself', () => {
    const plates = workClass({ zeroedAt: 'datum', featureLength: 0.02, tolerance: 15e-6, duration: 600 })
    const zeroed = (over: Partial<Situation>) =>
      leaves(ownRemedy(situation({ outlook: outlook(20, 24, 20), workClass: plates, limit: 29, ...over })))
    expect(zeroed({ proof: 600 }).fitBy).not.toBeNull()
    expect(zeroed({ proof: 9000 })).toMatchObject({ fitBy: null })
  })

  it('counts, of a later moment, that the air goes its own way until then', () => {
    const waiting = (airChange: number) =>
      leaves(ownRemedy(situation({ outlook: outlook(20, 24), fitBy: minutes(95), airChange: () => airChange })))
    const [held, moving] = [waiting(0), waiting(0.5)]
    expect(moving.error).toBe(held.error)
    expect(moving.uncertainty).toBeGreaterThan(1.1 * held.uncertainty)
  })

  it('is the first zero where none is recorded', () => {
    const found = ownRemedy(situation({ outlook: outlook(20, 20), workClass: workClass({ zeroedAt: 'datum' }) }))
    expect(found).toMatchObject({ kind: 'zero', first: true })
  })

  it('is to wait until the time of the verdict, or to let the part soak where that alone is in the way', () => {
    const fitBy = minutes(95)
    expect(ownRemedy(situation({ outlook: outlook(20, 24), fitBy }))).toMatchObject({ kind: 'wait', leaves: { fitBy } })
    expect(ownRemedy(situation({ outlook: outlook(20, 20, 16), fitBy }))).toMatchObject({ kind: 'soak' })
  })

  it('where little is known and nothing else is in the way: what to know better', () => {
    const of = outlook(20, 20)
    const vague = { ...of, part: { ...of.part, uncertainty: 2, uncertaintySoaked: 2 } }
    const found = ownRemedy(situation({ outlook: vague }))
    expect(found).toMatchObject({ kind: 'surer', cause: { kind: 'part' }, leaves: { fitBy: null } })
    expect(leaves(found).uncertainty).toBeLessThan(2e-6)
  })

  it('says of a part in doubt how long it must lie there to be known twice as well, or that this does not help', () => {
    const of = outlook(20, 20)
    const causeWith = (part: Partial<Outlook['part']>) => {
      const doubtful = { ...of, part: { ...of.part, ...part } }
      const [nominal] = nominalErrors(doubtful, workClass())
      return causeOfUncertainty(doubtful, of.loop.axes[0]!, workClass(), nominal!, 'temperature of the part')
    }
    expect(causeWith({ uncertainty: 2, uncertaintySoaked: 2 })).toMatchObject({ uncertainty: 2, soakToHalve: null })
    // of 6 K of slope a third is the doubt, and it fades with the part's time constant: half is left after τ · ln 2
    const soaking = causeWith({ slope: 6, uncertainty: 2, uncertaintySoaked: 0 })
    const half = 1800 * Math.log(2)
    expect(soaking).toMatchObject({ uncertainty: 2, soakToHalve: 300 * Math.ceil(half / 300) })
  })

  it('a move counts an hour to set up: an own remedy that is sooner goes before it', () => {
    const move: Remedy = { kind: 'move', machine: 'b', name: 'B' }
    const wait = (until: number): Remedy => ({
      kind: 'wait',
      leaves: { at: now, error: 1e-6, uncertainty: 1e-6, granted: 6e-6, fitBy: minutes(until) },
    })
    expect(bestOf([wait(59), move], now)?.kind).toBe('wait')
    expect(bestOf([wait(61), move], now)?.kind).toBe('move')
    expect(bestOf([], now)).toBeNull()
  })
})
