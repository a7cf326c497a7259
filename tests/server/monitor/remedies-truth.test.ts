import { expect, it } from 'vitest'
import type { WorkClass } from '../../../core/shop.js'
import type { Leaves } from '../../../core/state.js'
import { demoShopOf } from '../../demo-shop.js'
import { driftStages, trueJobError } from '../../exam/truth.js'
import { followed } from '../../followed.js'

const from = Date.UTC(2026, 0, 12, 5)
const minute = 60_000
const hour = 60 * minute
const door = 'dock-door'
const id = 'mill-2'

interface Tried {
  workClass: WorkClass
  leaves: Leaves
  /** m; of the simulator, at the time named */
  error: number
}

/**
 * The mill beside the dock door, alone in the demo shop: whenever the door has stood open, the advice is followed. A first
 * part is proved every morning, and before every other opening, so that work which counts from a datum has one.
 */
const followAdvice = (days: number, seed: number): Tried[] => {
  const shop = demoShopOf(id)
  const machine = shop.machines[0]!
  const { simulated, monitor, until } = followed(shop, { seed, start: from }, 60, 5 * minute)
  const { time: now } = simulated
  let zero = simulated.truth().machines[id]!
  const proveFirstPart = (): void => {
    const how = { id: now(), firstPart: true, by: 'setter', note: '' }
    monitor.setDatum({ ...monitor.datumNow(id), ...how })
    zero = structuredClone(simulated.truth().machines[id]!)
  }
  const trueError = (workClass: WorkClass): number => {
    const horizons = driftStages.map(stage => stage * workClass.duration)
    const truth = simulated.truth().machines[id]!
    const drift = simulated.heldDrift(horizons, 'lately')[id]!
    return trueJobError(machine.axes, workClass, truth, (axis, ahead) => drift[axis]![horizons.indexOf(ahead)]!, zero)
  }

  const tried: Tried[] = []
  simulated.setDoor(door, false)
  until(from + 6 * hour)
  let provedOn = -1
  for (let n = 0; now() < from + days * 24 * hour; n++) {
    const today = Math.floor((now() - from - 6 * hour) / (24 * hour))
    if (n % 2 === 0 || provedOn < today) proveFirstPart()
    provedOn = today
    simulated.setDoor(door, true)
    until(now() + [10, 20, 35][n % 3]! * minute)
    const shown = monitor
      .machine(id)!
      .classes.flatMap(({ workClass, remedy }) =>
        remedy?.kind === 'shut' ? [{ of: shop.workClasses.find(c => c.id === workClass)!, leaves: remedy.leaves }] : [],
      )
    simulated.setDoor(door, false)
    const when = (leaves: Leaves) => leaves.fitBy ?? leaves.at
    for (const { of, leaves } of shown.sort((a, b) => when(a.leaves) - when(b.leaves))) {
      until(when(leaves))
      tried.push({ workClass: of, leaves, error: trueError(of) })
    }
    until(now() + 2 * hour)
  }
  return tried
}

const median = (values: number[]) => values.toSorted((a, b) => a - b)[values.length >> 1]!

/** What was told, beside what came of it. */
const judged = (tried: readonly Tried[], what: string) => {
  const off = median(tried.map(({ leaves, error }) => Math.abs(leaves.error - error)))
  const promised = tried.filter(({ leaves }) => leaves.fitBy !== null)
  const kept = promised.filter(({ leaves, error }) => error <= leaves.granted)
  const within = tried.filter(({ leaves, error }) => Math.abs(leaves.error - error) <= leaves.uncertainty)
  console.log(
    `shut the door, ${what}: ${tried.length} times, off by ${(1e6 * off).toFixed(1)} µm (median), ` +
      `within what was said to be unknown ${within.length}; fit promised ${promised.length}, kept ${kept.length}`,
  )
  return {
    count: tried.length,
    off,
    within: within.length / tried.length,
    promised: promised.length,
    kept: kept.length / promised.length,
  }
}

it('"shut the door", when somebody does, leads to about the error that was told', () => {
  const tried = [1, 5].flatMap(seed => followAdvice(3, seed))
  const since = (zeroedAt: WorkClass['zeroedAt']) => tried.filter(({ workClass }) => workClass.zeroedAt === zeroedAt)
  const atStart = judged(since('job start'), 'work zeroed at its start')
  expect(atStart.count).toBeGreaterThan(24)
  // half of what heat may take on the closest work (5.7 µm)
  expect(atStart.off).toBeLessThan(2.85e-6)
  expect(atStart.within).toBeGreaterThan(0.75)
  expect(atStart.promised).toBeGreaterThan(10)
  expect(atStart.kept).toBeGreaterThan(0.9)
  const sinceDatum = judged(since('datum'), 'work zeroed at the datum')
  expect(sinceDatum.count).toBeGreaterThan(10)
  // half of what heat may take on it (18.3 µm)
  expect(sinceDatum.off).toBeLessThan(9.15e-6)
  expect(sinceDatum.within).toBeGreaterThan(0.75)
  expect(sinceDatum.promised === 0 || sinceDatum.kept > 0.9).toBe(true)
})
