import { describe, expect, it } from 'vitest'
import type { Axis, WorkClass } from '../../core/shop.js'
import type { HeldState } from '../../simulators/index.js'
import { firstWithin, jobErrorsAlong } from './truth.js'

describe('the first moment from which a value stays within a limit', () => {
  const ahead = [0, 10, 20, 30, 40]
  it('lies between two moments, in proportion', () => {
    expect(firstWithin(ahead, [5, 4, 2, 1, 1], 3, 10)).toBe(15)
  })
  it('is 0 when it is within already', () => {
    expect(firstWithin(ahead, [1, 1, 1, 1, 1], 3, 20)).toBe(0)
  })
  it('does not count a visit shorter than it must stay', () => {
    expect(firstWithin(ahead, [5, 1, 5, 1, 1], 3, 10)).toBe(25)
    expect(firstWithin(ahead, [1, 5, 5, 5, 5], 3, 5)).toBeNull()
  })
  it('is null when it never comes, or comes too late to stay', () => {
    expect(firstWithin(ahead, [5, 5, 5, 5, 4], 3, 0)).toBeNull()
    expect(firstWithin(ahead, [5, 5, 5, 5, 1], 3, 10)).toBeNull()
  })
})

describe('true errors of jobs begun later', () => {
  const alpha = 10e-6
  const axis: Axis = {
    id: 'X',
    travel: 1,
    workAt: 0.5,
    measuring: {
      kind: 'screw',
      material: { name: 'screw steel', alpha, alphaUncertainty: 0.03 },
      nodes: { screw: 1 },
      fixedAt: 0,
      mounting: { kind: 'one end fixed' },
    },
  }
  const work: WorkClass = {
    id: 'bores',
    name: 'Bores',
    tolerance: 20e-6,
    featureLength: 0.1,
    material: { name: 'part', alpha: 0, alphaUncertainty: 0.03 },
    duration: 1800,
    share: 0.3,
    zeroedAt: 'job start',
  }
  /** a screw 4 K too warm that cools by an exponential of an hour, a part that does not grow */
  const rise = (t: number): number => 4 * Math.exp(-t / 3600)
  const course = Array.from({ length: 289 }, (_, i): HeldState => {
    const t = 300 * i
    const position = Array.from({ length: 11 }, (_, k) => k / 10)
    const value = position.map(s => alpha * rise(t) * s)
    return {
      ahead: t,
      axes: {
        X: {
          atZero: 0,
          atWork: value[5]!,
          atTravel: value[10]!,
          displacement: { position, value },
          structure: 0,
        },
      },
      partTemperature: 23,
    }
  })
  /** a zero that does not count: the class is zeroed at each job's start */
  const cold = { ...course[0]!, partAlpha: { part: 0 } }
  /** size error of 100 mm and the drift at 500 mm until the job's end, worked out by hand */
  const exact = (t: number): number => alpha * (0.1 * rise(t) + 0.5 * (rise(t) - rise(t + 1800)))

  it('are size error and largest drift of the course, to 0.01 µm', () => {
    const { ahead, error } = jobErrorsAlong([axis], work, course, { part: 0 }, cold)
    expect(ahead.at(-1)).toBe(86_400 - 1800)
    ahead.forEach((t, i) => {
      expect(Math.abs(error[i]! - exact(t))).toBeLessThan(1e-8)
    })
  })

  it('come within the share when the exponential says so, to a quarter of a minute', () => {
    const { ahead, error } = jobErrorsAlong([axis], work, course, { part: 0 }, cold)
    // exact(t) = exact(0)·e^(−t/3600)
    const due = 3600 * Math.log(exact(0) / (work.share * work.tolerance))
    expect(Math.abs(firstWithin(ahead, error, work.share * work.tolerance, 600)! - due)).toBeLessThan(15)
  })

  it('count from the first part that was measured at the datum', () => {
    // measured when the screw was 4 K too warm: a job an hour on finds both size and zero off by what it has cooled since
    const { ahead, error } = jobErrorsAlong([axis], { ...work, zeroedAt: 'datum' }, course, { part: 0 }, cold)
    const at = ahead.indexOf(3600)
    const since = (t: number) => rise(0) - rise(t)
    expect(Math.abs(error[at]! - alpha * (0.1 * since(3600) + 0.5 * since(5400)))).toBeLessThan(1e-8)
    expect(error[0]! - alpha * 0.5 * since(1800)).toBeLessThan(1e-8)
  })

  it('are the worst of several axes', () => {
    const shorter: Axis = { ...axis, id: 'Y', workAt: 0.1 }
    const both = course.map(moment => ({
      ...moment,
      axes: { ...moment.axes, Y: { ...moment.axes.X!, atWork: moment.axes.X!.atWork / 5 } },
    }))
    const alone = jobErrorsAlong([axis], work, course, { part: 0 }, cold).error
    jobErrorsAlong([shorter, axis], work, both, { part: 0 }, cold).error.forEach((error, i) => {
      expect(error).toBeCloseTo(alone[i]!, 15)
    })
  })
})
