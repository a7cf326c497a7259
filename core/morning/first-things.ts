import type { Shop } from '../shop.js'
import type { MachineMorning, MorningCheck, Night, Todo } from './check.js'

/** more lines are not read in a minute */
const mostLines = 5
/** the later ones come up when these are done */
const mostWarmUps = 2
/** a gateway that fails silences many sensors at once; the list of sensors has them all */
const mostSensors = 3

/** What there is to do beside what makes the answer to a job better. */
export interface Morning extends Pick<MorningCheck, 'machines' | 'sensors' | 'night'> {
  /** those that the tool lists of jobs ask for, in order of their time */
  warmUps: readonly Todo[]
  shop: Pick<Shop, 'sensors'>
}

const line = (about: Todo['about'], by: number | null = null): Todo => ({ by, about, jobs: [] })

const heating = (night: Night | null): Todo[] =>
  (night?.unusual ?? []).flatMap(each =>
    each.kind === 'heating' && (each.back === null || each.back > each.usual)
      ? [line({ kind: 'heating late', usual: each.usual, came: each.back })]
      : [],
  )

/** A level or a tram that is set on a machine that still settles does not last: the one that needs longest is named. */
const levelling = (machines: readonly MachineMorning[]): Todo[] => {
  const settling = machines.flatMap(({ machine, classes }) => {
    const ready = classes.flatMap(each => (each.verdict === 'settling' ? [each.ready?.latest ?? null] : []))
    if (ready.length === 0) return []
    return [{ machine, until: ready.some(until => until === null) ? null : Math.max(...ready.map(Number)) }]
  })
  const [longest] = settling.sort(
    (a, b) => (b.until ?? Number.POSITIVE_INFINITY) - (a.until ?? Number.POSITIVE_INFINITY),
  )
  return longest ? [line({ kind: 'no levelling', ...longest }, longest.until)] : []
}

const sensorsOf = ({ sensors, shop }: Morning, jobs: readonly Todo[]): Todo[] => {
  const asked = new Set(
    jobs.flatMap(({ about }) =>
      about.kind === 'remedy' && about.remedy.kind === 'sensor'
        ? [`${about.machine} ${about.remedy.missing.node}`]
        : [],
    ),
  )
  return sensors.flatMap(({ sensor, kind }) => {
    const at = shop.sensors.find(({ id }) => id === sensor)?.at
    if (kind !== 'suspect' && kind !== 'lost') return []
    // a job waits for it: that is said already, with the job
    if (at?.kind === 'node' && asked.has(`${at.machine} ${at.node}`)) return []
    return [line({ kind: 'sensor', sensor })]
  })
}

const calibrations = ({ sensors, shop }: Morning): Todo[] =>
  sensors
    .filter(({ kind }) => kind === 'overdue')
    .sort((a, b) => (a.since ?? 0) - (b.since ?? 0))
    .flatMap(({ sensor }) => {
      const due = shop.sensors.find(({ id }) => id === sensor)?.calibration?.due
      return due === undefined ? [] : [line({ kind: 'calibration', sensor, due })]
    })

/**
 * What to do first, five lines at most: what makes the answers to jobs better comes first, in its own order (the most
 * jobs, then the soonest), then the next spindle to be warmed up; then what will help no job of today and yet wants to be
 * known: heating that has not come, a sensor that is not believed, a machine on which no level is to be set, heating that
 * came late, the longest overdue calibration.
 *
 * @param jobs what would make answers better, in order of effect
 * @returns empty where there is nothing to do
 */
export const firstThings = (jobs: readonly Todo[], morning: Morning): Todo[] => {
  const late = heating(morning.night)
  const isMissing = ({ about }: Todo) => about.kind === 'heating late' && about.came === null
  return [
    ...jobs.slice(0, mostLines - Math.min(1, morning.warmUps.length)),
    ...morning.warmUps.slice(0, mostWarmUps),
    ...late.filter(isMissing),
    ...sensorsOf(morning, jobs).slice(0, mostSensors),
    ...levelling(morning.machines),
    ...late.filter(each => !isMissing(each)),
    ...calibrations(morning).slice(0, 1),
  ].slice(0, mostLines)
}
