import { DateTime } from 'luxon'
import { expect, it } from 'vitest'
import { answerJob, type JobAnswer, jobClass, type PlannedJob } from '../../../core/morning/index.js'
import type { WorkClass } from '../../../core/shop.js'
import { demoShopOf } from '../../demo-shop.js'
import { driftStages, trueJobError } from '../../exam/truth.js'
import { followed } from '../../followed.js'

const minute = 60_000
const hour = 60 * minute
/** a Monday */
const from = Date.UTC(2026, 0, 12, 5)
/** ms; how often the truth is looked at */
const step = 10 * minute
/** min from the question to the planned start */
const leads = [0, 30, 90, 210]
/** one by doors and heaters, one that is not, and one in the fine room */
const ids = ['mill-1', 'mill-3', 'grinder-1']

interface Asked {
  answer: JobAnswer
  job: PlannedJob
  workClass: WorkClass
  /** m; true error of such a job begun then, at every `step` from the question on, in the air as it then is */
  truth: number[]
}

/** Jobs asked about at half past six on three mornings of the demo shop, and what then was true in the simulator. */
const mornings = (seed: number): Asked[] => {
  const chosen = demoShopOf(...ids)
  const shop = { ...chosen, workClasses: chosen.workClasses.filter(({ zeroedAt }) => zeroedAt === 'job start') }
  const { simulated, monitor, until } = followed(shop, { seed, start: from }, 60, step)
  const horizons = [...new Set(shop.workClasses.flatMap(({ duration }) => driftStages.map(part => part * duration)))]
  horizons.sort((a, b) => a - b)
  const ask = (machine: string, workClass: WorkClass, lead: number): Asked => {
    const now = simulated.time()
    const { name, featureLength: length, tolerance, material, duration, share } = workClass
    const job: PlannedJob = {
      id: 1,
      part: name,
      features: [{ name: '', length, tolerance }],
      material: material.name,
      machines: [machine],
      start: now + lead * minute,
      duration,
      share,
      zeroedAt: 'job start',
      from: { kind: 'shop' },
      enteredAt: now,
      by: '',
    }
    const seen = { id: machine, ...monitor.circumstances(machine, jobClass(job, material)), notes: [], busy: [] }
    const situation = { job, material, machines: [seen], now, shiftEnd: now + 10 * hour }
    const answer = answerJob({ ...situation, outdoors: null, partTimeConstant: null })
    return { answer, job, workClass, truth: [] }
  }
  const look = (asked: readonly Asked[]): void => {
    const truths = simulated.truth().machines
    const drifts = simulated.heldDrift(horizons, 'lately')
    for (const { job, workClass, truth } of asked) {
      const id = job.machines[0]!
      const drift = (axis: string, ahead: number) => drifts[id]![axis]![horizons.indexOf(ahead)]!
      const { axes } = shop.machines.find(machine => machine.id === id)!
      truth.push(trueJobError(axes, workClass, truths[id]!, drift, truths[id]!))
    }
  }
  const all: Asked[] = []
  const monday = DateTime.fromMillis(from, { zone: shop.timeZone }).startOf('day')
  for (const day of [2, 3, 4]) {
    until(monday.plus({ days: day, hours: 6, minutes: 30 }).toMillis())
    const asked = shop.workClasses.flatMap(of => leads.flatMap(lead => ids.map(id => ask(id, of, lead))))
    for (const end = simulated.time() + 7 * hour; simulated.time() <= end; until(simulated.time() + step)) look(asked)
    all.push(...asked)
  }
  return all
}

const grantedOf = ({ workClass }: Asked): number => workClass.tolerance * workClass.share
const trueAt = ({ answer, truth }: Asked, time: number): number => truth[Math.round((time - answer.at) / step)]!
/** the first time from the planned start on from which a job stays within the share for half an hour; null: none seen */
const trulyReady = (asked: Asked): number | null => {
  const { answer, job, truth } = asked
  for (let i = Math.round((job.start - answer.at) / step); i + 3 < truth.length; i++)
    if (truth.slice(i, i + 4).every(error => error <= grantedOf(asked))) return answer.at + i * step
  return null
}
const median = (values: number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1]!

it('on mornings of the simulated shop, go is true and a wait ends when it was said', () => {
  const asked = mornings(5)
  const going = asked.filter(({ answer }) => answer.answer === 'go')
  const over = going.filter(each => trueAt(each, each.answer.start!) > grantedOf(each))
  const clearly = going.filter(each => trueAt(each, each.answer.start!) > 1.1 * grantedOf(each))
  const bad = asked.filter(each => trueAt(each, each.job.start) > grantedOf(each))
  const waits = asked.flatMap(each => {
    const { ready } = each.answer
    const came = each.answer.answer === 'wait' ? trulyReady(each) : null
    return ready && came !== null ? [{ ...ready, came }] : []
  })
  const off = waits.map(({ likely, came }) => Math.abs(came - likely) / minute)
  // to within what the truth is looked at
  const within = waits.filter(({ earliest, latest, came }) => came >= earliest - step / 2 && came <= latest + step / 2)
  console.log(
    `${asked.length} jobs, ${bad.length} of them over the share as planned; go ${going.length}, of these over ${over.length}, ` +
      `by a tenth ${clearly.length}; wait ${waits.length}, off by ${median(off)} min (median), in the interval ${within.length}`,
  )
  expect(going.length).toBeGreaterThan(asked.length / 2)
  expect(bad.length).toBeGreaterThan(3)
  expect(clearly).toEqual([])
  expect(over.length).toBeLessThanOrEqual(0.03 * going.length)
  expect(waits.length).toBeGreaterThan(10)
  expect(median(off)).toBeLessThanOrEqual(15)
  expect(within.length / waits.length).toBeGreaterThan(0.75)
})
