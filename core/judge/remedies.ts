import type { WorkClass } from '../shop.js'
import type { Leaves, Remedy, UncertaintyCause } from '../state.js'
import { type Assessment, assess, hour } from './assess.js'
import { combinedError, nominalErrors } from './job.js'
import { type Outlook, outlookAhead, soakedPart, zeroedNow } from './outlook.js'
import { along, type Moved, movedTrajectory, type Trajectory, trajectoryUnder } from './plan.js'
import { earliestAndLowest } from './ready.js'
import { causeOfUncertainty } from './uncertainty-cause.js'

/** What a remedy is looked for in. */
export interface Situation {
  /** for a class zeroed at the datum, `outlook.datum` null means that none is recorded */
  outlook: Outlook
  workClass: WorkClass
  /** percent; what error and uncertainty must not exceed to become fit, by the decision rule */
  limit: number
  /** ms */
  now: number
  /** s; how long it must then stay so before it is called fit */
  proof: number
  /** the verdict's own ready time, ms, where it has one */
  fitBy: number | null
  /** K, standard; how far the air at the machine ordinarily goes within so many s */
  airChange: (seconds: number) => number
  /** what stands open and acts on the machine, and the air's temperature there before, °C */
  open: { source: string; name: string; before: number } | null
}

/**
 * s; how far ahead it counts that other air makes a machine fit: for longer, conditions are not likely to hold.
 * Judgement
 */
const soon = 4 * 3600
/** s; how far ahead the best moment is looked for where other air does not make it fit. Judgement, no source */
const within = 2 * 3600
/**
 * s; how quickly the air at a machine comes back, at best and at worst, once a door is shut, or follows a heating that is
 * turned up. Judgement, no source.
 */
const airReturns = [750, 3000] as const
/** K; a part that has less to go counts as soaked. Judgement, no source */
const soaking = 0.1
/** ms; a job that is taken to another machine is set up there anew. Judgement, no source */
const setUp = 3_600_000
/** a remedy that takes away less than this fraction of error and uncertainty is none. Judgement, no source */
const worthwhile = 0.1

/** m, rounded to the nanometre: more is noise, and a burden for the stream to the pages */
const nanometres = (value: number) => Math.round(value * 1e9) / 1e9
const grantedOf = ({ tolerance, share }: WorkClass): number => tolerance * share

const leavesOf = ({ nominal, axes, worst }: Assessment, workClass: WorkClass, at: number): Omit<Leaves, 'fitBy'> => {
  const i = axes.findIndex(({ axis }) => axis === worst)
  return {
    at,
    error: nanometres(combinedError(nominal[i]!)),
    uncertainty: nanometres(axes[i]!.uncertainty),
    granted: grantedOf(workClass),
  }
}

/**
 * The error that is left of a job begun later, under a plan or if conditions hold. It is less sure than that of a job
 * begun now, by what a verdict will know then and nobody knows yet: where each node is heading, and how far the air
 * ordinarily goes until then. Little of that matters to work that is zeroed at its start; all of it does to work that
 * counts from a datum.
 *
 * @param ahead s
 * @param base  the trajectory to that job's end and an hour on, or further
 */
const leftAhead = (
  { workClass, now, airChange }: Situation,
  ahead: number,
  base: Trajectory,
): Omit<Leaves, 'fitBy'> => {
  const { outlook, plan } = base
  const planned = plan.length > 0 ? along(base) : outlook
  const found = leavesOf(assess(outlookAhead(planned, ahead), workClass), workClass, now + ahead * 1000)
  if (!(ahead > 0)) return found
  const errorOn = (trajectory: Trajectory): number =>
    Math.max(...nominalErrors(along(trajectory), workClass, ahead).map(combinedError))
  const nominal = errorOn(base)
  /** m; the size of an error has a corner where it is zero, so both sides are looked at */
  const change = (by: number, moved: (by: number) => Moved) =>
    by > 0 ? Math.max(...[by, -by].map(each => Math.abs(errorOn(movedTrajectory(base, moved(each))) - nominal))) : 0
  const { axes, machine } = outlook.loop
  const matters = (node: number) =>
    machine.nodes[node]!.id === machine.workpiece.node || axes.some(axis => axis.nodes.includes(node))
  const changes = [
    change(airChange(ahead), airShift => ({ airShift })),
    ...outlook.nodes.map(({ steadyUncertainty, timeConstant }, node) =>
      Number.isFinite(timeConstant) && matters(node)
        ? change(steadyUncertainty, by => ({ steadyShift: { node, by } }))
        : 0,
    ),
  ]
  return { ...found, uncertainty: nanometres(Math.hypot(found.uncertainty, ...changes.map(each => 2 * each))) }
}

/** The same if conditions hold. */
const leftIfHeld = (situation: Situation, ahead: number): Omit<Leaves, 'fitBy'> =>
  leftAhead(situation, ahead, trajectoryUnder(situation.outlook, [], ahead + situation.workClass.duration + hour))

/**
 * While cold air pours in, bodies seem to be heading below it: a stream colder than where the air is measured reaches them.
 * That goes with the stream, for nothing on a machine cools what stands in air.
 */
const withoutOvershoot = (outlook: Outlook): Outlook => ({
  ...outlook,
  nodes: outlook.nodes.map(node => {
    const around = outlook.loop.machine.nodes[node.follows]?.kind === 'air' ? outlook.nodes[node.follows]! : null
    const least = around?.temperature ?? Number.NEGATIVE_INFINITY
    return node.steadyTemperature < least ? { ...node, steadyTemperature: least } : node
  }),
})

/**
 * What is left once the air has gone to another temperature: when it is fit, else when it is best within two hours. How
 * quickly the air gets there is not known: the later and larger of a quick and a slow return counts, and what lies between
 * them is part of what is not known.
 *
 * @param temperature °C
 */
const inAirAt = (of: Situation, temperature: number): Leaves => {
  const situation = { ...of, outlook: withoutOvershoot(of.outlook) }
  const { outlook, workClass, limit, now, proof } = situation
  const reach = soon + workClass.duration + hour
  const returns = airReturns.map(timeConstant => {
    const base = trajectoryUnder(outlook, [{ at: 0, temperature, timeConstant }], reach)
    return { base, search: earliestAndLowest(along(base), workClass, limit) }
  })
  const look = (until: number) => returns.map(({ search }) => search(until))
  const found = look(soon)
  const first = Math.max(...found.map(each => each.first ?? Number.POSITIVE_INFINITY))
  const fits = Number.isFinite(first)
  const ahead = fits ? first : Math.max(...look(within).map(({ lowestAt }) => lowestAt))
  const left = returns.map(({ base }) => leftAhead(situation, ahead, base))
  const [one, other] = left as [(typeof left)[0], (typeof left)[0]]
  const worse = one.error + one.uncertainty > other.error + other.uncertainty ? one : other
  const uncertainty = nanometres(Math.hypot(worse.uncertainty, one.error - other.error))
  // it is only promised where the error is still within its share when it is as large as it may be
  const promised = fits && worse.error + uncertainty <= worse.granted
  return { ...worse, uncertainty, fitBy: promised ? now + (first + proof) * 1000 : null }
}

/** What is left of the present error when something of it is different at once. */
const changed = ({ workClass, limit, now, proof }: Situation, outlook: Outlook): Leaves => {
  const found = assess(outlook, workClass)
  return { ...leavesOf(found, workClass, now), fitBy: found.counted <= limit ? now + proof * 1000 : null }
}

const zeros = (situation: Situation): Remedy[] => {
  const { outlook, workClass } = situation
  if (workClass.zeroedAt !== 'datum') return []
  return [false, true].map(firstPart => {
    const zeroed = zeroedNow(outlook, firstPart)
    const leaves = changed(situation, zeroed)
    // a machine that still settles moves on from its new zero: it must be within its share when it has proved itself, too
    const staysFit = () => {
      const then = leftIfHeld({ ...situation, outlook: zeroed }, situation.proof)
      return then.error + then.uncertainty <= then.granted
    }
    const fitBy = leaves.fitBy !== null && staysFit() ? leaves.fitBy : null
    return { kind: 'zero', firstPart, first: outlook.datum === null, leaves: { ...leaves, fitBy } }
  })
}

/** Waiting until it is fit, if conditions hold; where only the part is in the way, letting it soak. */
const waits = (situation: Situation): Remedy[] => {
  const { outlook, now, proof, fitBy } = situation
  if (fitBy === null) return []
  const begun = Math.max(fitBy - proof * 1000, now)
  const left = leftIfHeld(situation, (begun - now) / 1000)
  const { part } = outlook
  const soaked = changed(situation, { ...outlook, part: soakedPart(part) })
  const byPart = begun > now && Math.abs(part.steadyTemperature - part.temperature) > soaking && soaked.fitBy !== null
  return [{ kind: byPart ? 'soak' : 'wait', leaves: { ...left, fitBy } }]
}

/** what somebody could come to know better than by waiting */
const knowable: readonly string[] = ['part', 'placement', 'calibration', 'batch'] satisfies UncertaintyCause['kind'][]

/**
 * What is left of the error once the largest contribution to its uncertainty is known exactly; only where somebody can
 * come to know it.
 */
const surer = ({ outlook, workClass, now }: Situation, found: Assessment): Remedy[] => {
  const i = found.axes.findIndex(({ axis }) => axis === found.worst)
  const { budget, uncertainty } = found.axes[i]!
  const [largest] = budget
  const cause =
    largest && causeOfUncertainty(outlook, outlook.loop.axes[i]!, workClass, found.nominal[i]!, largest.name)
  if (!cause || !knowable.includes(cause.kind)) return []
  const rest = Math.sqrt(Math.max(0, uncertainty ** 2 - (2 * largest.standardUncertainty) ** 2))
  // another axis may then be the worst one: what is told is only how far this gets, never that it makes it fit
  return [{ kind: 'surer', cause, leaves: { ...leavesOf(found, workClass, now), uncertainty: rest, fitBy: null } }]
}

/** m; the error that a remedy leaves, with its uncertainty; infinite for a remedy that does not tell it */
const left = (remedy: Remedy): number =>
  'leaves' in remedy ? remedy.leaves.error + remedy.leaves.uncertainty : Number.POSITIVE_INFINITY

/** ms since 1970; when work could begin with a remedy, infinite where it does not make the machine fit */
const begins = (remedy: Remedy, now: number): number =>
  remedy.kind === 'move'
    ? now + setUp
    : 'leaves' in remedy
      ? (remedy.leaves.fitBy ?? Number.POSITIVE_INFINITY)
      : Number.POSITIVE_INFINITY

/** The remedy with which work can begin first; where none makes it fit, the one that leaves least. The first of equals. */
export const bestOf = (remedies: readonly Remedy[], now: number): Remedy | null => {
  let best: Remedy | null = null
  for (const remedy of remedies) {
    const [a, b] = best ? [begins(remedy, now), begins(best, now)] : [0, 0]
    if (best === null || a < b || (a === b && left(remedy) < left(best))) best = remedy
  }
  return best
}

/**
 * The most effective thing to do at the machine itself, computed with the forecast of the verdict.
 *
 * What would make it fit comes first, by when work could begin. Where nothing does, what brings the error furthest down
 * within some hours, also if it is much to ask: air at the reference temperature, or what is most uncertain known better.
 */
export const ownRemedy = (situation: Situation): Remedy | null => {
  const { outlook, workClass, open, now } = situation
  const unzeroed = workClass.zeroedAt === 'datum' && outlook.datum === null
  // without a zero nothing else can be told
  if (unzeroed) return bestOf(zeros(situation), now)
  const near: Remedy[] = [...zeros(situation), ...waits(situation)]
  if (open)
    near.unshift({ kind: 'shut', source: open.source, name: open.name, leaves: inAirAt(situation, open.before) })
  const best = bestOf(near, now)
  if (best && 'leaves' in best && best.leaves.fitBy !== null) return best
  const found = assess(outlook, workClass)
  const worst = leavesOf(found, workClass, now)
  const enough = (1 - worthwhile) * (worst.error + worst.uncertainty)
  // what can easily be done is said before what is much to ask, unless it helps nothing
  const useful = near.filter(remedy => left(remedy) <= enough)
  if (useful.length > 0) return bestOf(useful, now)
  const temperature = outlook.loop.reference
  const air: Remedy = { kind: 'air', temperature, leaves: inAirAt(situation, temperature) }
  return bestOf([...near, air, ...surer(situation, found)], now)
}
