import { formatDifference, formatDuration, formatGrowth, formatTemperature } from '../format.js'
import type { HappenedAnswer, JobOutcome, JobsBegun, Mark, WorkChange } from '../happened/index.js'
import { nameOf } from '../names.js'
import type { Shop } from '../shop.js'
import type { Verdict } from '../state.js'
import { at, capital, listed, type Reader, type Sentence, size } from './reader.js'
import { saySensorFault } from './sensor-faults.js'

// What happened on a machine over a stretch of its past, in words: for its page, its print and its table.

type Named = Pick<Shop, 'machines' | 'sensors' | 'sources' | 'workClasses'>

const lasted = (spans: readonly { from: number; to: number }[]): number =>
  spans.reduce((sum, { from, to }) => sum + to - from, 0) / 1000

/** s; what lasted for less is where intervals were cut. Judgement, no source */
const shortest = 60
/** A duration as it can be told from intervals of minutes: to the minute, of hours to five, of half a day to a quarter of an hour. @param duration s */
const roughly = (duration: number): string => {
  const step = duration < 3600 ? 60 : duration < 4 * 3600 ? 300 : 900
  return formatDuration(Math.max(shortest, Math.round(duration / step) * step))
}

/** What is known of a course: its ends and extremes, each with its moment; `far` is the extreme that lies further from where it began. */
const extremes = (moments: readonly number[], values: readonly (number | null)[]) => {
  const known = values.flatMap((value, i) => (value === null ? [] : [{ value, at: moments[i]! }]))
  if (known.length === 0) return null
  const most = (better: (a: number, b: number) => boolean) => known.reduce((a, b) => (better(b.value, a.value) ? b : a))
  const [first, low, high] = [known[0]!, most((a, b) => a < b), most((a, b) => a > b)]
  const far = high.value - first.value >= first.value - low.value ? high : low
  return { first, last: known.at(-1)!, low, high, far }
}

/** K; air that moved by less stayed as it was. Judgement, no source */
const still = 0.3

const sayAir = (answer: HappenedAnswer, shop: Named, reader: Reader): string[] => {
  const machine = shop.machines.find(({ id }) => id === answer.machine)
  const air = machine?.nodes.find(({ kind }) => kind === 'air')
  const found = air && extremes(answer.at, answer.nodes.find(({ node }) => node === air.id)?.value ?? [])
  if (!air || !found) return []
  const celsius = (value: number) => formatTemperature(value, reader.system)
  const { first, last, low, high, far } = found
  const name = capital(air.name)
  const [least, most] = [celsius(low.value), celsius(high.value)]
  if (high.value - low.value < still)
    return [`${name} stayed ${least === most ? `at ${most}` : `between ${least} and ${most}`}.`]
  const went = `${name} ${far === high ? 'rose' : 'fell'} from ${celsius(first.value)} to ${celsius(far.value)} at ${at(far.at, reader)}`
  return Math.abs(last.value - far.value) < still
    ? [`${went}.`]
    : [`${went}, and was ${celsius(last.value)} at the end.`]
}

const saySources = (answer: HappenedAnswer, shop: Named, reader: Reader): string[] => {
  const told = answer.sources.flatMap(({ source, active }) => {
    const of = shop.sources.find(({ id }) => id === source)
    if (!of || !active || active.length === 0) return []
    const does = of.kind === 'heat source' ? 'ran' : 'was open'
    const times = active.length === 1 ? 'once' : `${active.length} times`
    const longest = active.reduce((a, b) => (b.to - b.from > a.to - a.from ? b : a))
    const until = (to: number) => (to >= answer.to ? 'to the end' : `to ${at(to, reader)}`)
    return active.length === 1
      ? [`${of.name} ${does} from ${at(longest.from, reader)} ${until(longest.to)}.`]
      : [
          `${of.name} ${does} ${times}, ${roughly(lasted(active))} in all, the longest from ${at(longest.from, reader)} ${until(longest.to)}.`,
        ]
  })
  const untold = answer.sources
    .filter(({ active }) => active === null)
    .map(({ source }) => nameOf(shop.sources, source))
  return untold.length === 0
    ? told
    : [...told, `Nothing tells whether ${listed(untold)} ${untold.length === 1 ? 'was' : 'were'} open or ran.`]
}

/** The body that moved most, against where it was at the beginning. */
const sayBodies = (answer: HappenedAnswer, shop: Named, reader: Reader): string[] => {
  const machine = shop.machines.find(({ id }) => id === answer.machine)
  const moved = (machine?.nodes ?? [])
    .filter(({ kind }) => kind !== 'air')
    .flatMap(({ id, name }) => {
      const found = extremes(answer.at, answer.nodes.find(({ node }) => node === id)?.value ?? [])
      return found ? [{ name, by: found.far.value - found.first.value, at: found.far.at }] : []
    })
    .sort((a, b) => Math.abs(b.by) - Math.abs(a.by))
  const [most] = moved
  if (!most || Math.abs(most.by) < still / 2)
    return most ? ['No part of the machine changed its temperature much.'] : []
  return [
    `Of the machine, the ${most.name} moved most: ${formatDifference(most.by, reader.system)} by ${at(most.at, reader)}.`,
  ]
}

const sayGrowth = (answer: HappenedAnswer, reader: Reader): string[] => {
  const moved = answer.axes.flatMap(({ axis, growth }) => {
    const found = extremes(answer.at, growth)
    if (!found) return []
    const { first, last, far } = found
    return [{ axis, by: far.value - first.value, at: far.at, end: last.value - first.value }]
  })
  if (moved.length === 0) return []
  const words = moved
    .sort((a, b) => Math.abs(b.by) - Math.abs(a.by))
    .map(({ axis, by, at: when, end }) => {
      const most = `${axis} by ${formatGrowth(by, reader.system)} at ${at(when, reader)}`
      return Math.abs(end - by) > 0.25 * Math.abs(by)
        ? `${most} (${formatGrowth(end, reader.system)} at the end)`
        : most
    })
  const lost = answer.axes.filter(({ growth }) => growth.some(value => value === null)).map(({ axis }) => axis)
  return [
    `Where the work is held, heat moved ${listed(words)}, counted from the beginning.`,
    ...(lost.length > 0 ? [`For a part of the time ${listed(lost)} cannot be told.`] : []),
  ]
}

const sayWall = ({ wall }: HappenedAnswer, shop: Named, reader: Reader): string[] =>
  wall.map(({ workClass, bands }) => {
    const name = nameOf(shop.workClasses, workClass)
    if (bands.length === 0) return `For ${name} the wall had shown nothing yet.`
    const [first] = bands
    if (bands.length === 1) return `For ${name} the wall showed ${first!.verdict} throughout.`
    if (bands.length <= 4)
      return `For ${name} the wall showed ${bands
        .map(({ verdict, from }, i) => (i === 0 ? verdict : `then ${verdict} from ${at(from, reader)}`))
        .join(', ')}.`
    const of = (verdict: Verdict) => lasted(bands.filter(band => band.verdict === verdict))
    return `For ${name} the wall changed ${bands.length - 1} times: ${(['fit', 'settling', 'unfit', 'unknown'] as const)
      .filter(verdict => of(verdict) >= shortest)
      .map(verdict => `${verdict} for ${roughly(of(verdict))}`)
      .join(', ')}.`
  })

const spanWords = (stretches: JobsBegun['stretches'], reader: Reader): string =>
  stretches.length <= 3
    ? listed(stretches.map(({ from, to }) => `from ${at(from, reader)} to ${at(to, reader)}`))
    : `in ${stretches.length} stretches, ${roughly(lasted(stretches))} in all, the first from ${at(stretches[0]!.from, reader)}`

const outcomeOf = (jobs: JobsBegun, outcome: JobOutcome) => jobs.stretches.filter(each => each.outcome === outcome)

/** What would have become of jobs of one work class. */
const sayJobsBegun = (jobs: JobsBegun, shop: Named, reader: Reader): Sentence => {
  const { worst, granted, shownFit } = jobs
  const name = nameOf(shop.workClasses, jobs.workClass)
  const of = (outcome: JobOutcome) => outcomeOf(jobs, outcome)
  const [beyond, perhaps, unknown, within] = [of('beyond'), of('perhaps'), of('not known'), of('within')]
  const most = worst
    ? `At worst ${worst.axis} ${formatGrowth(worst.error, reader.system)} ± ${size(worst.uncertainty, reader)}, begun at ${at(worst.at, reader)}; heat may take ± ${size(granted, reader)}.`
    : ''
  const lost = lasted(unknown) >= shortest ? ` For ${roughly(lasted(unknown))} it cannot be told.` : ''
  const shown =
    shownFit >= shortest ? ` The wall still said fit for ${roughly(shownFit)} of that: it was wrong then.` : ''
  if (beyond.length > 0)
    return { text: `${name} begun ${spanWords(beyond, reader)} would have been out`, more: most + shown + lost }
  if (perhaps.length > 0)
    return {
      text: `${name} begun ${spanWords(perhaps, reader)} may have been out: the temperatures alone cannot decide it`,
      more: most + lost,
    }
  if (within.length > 0) return { text: `${name} would have kept to what heat may take`, more: most + lost }
  return unknown.length > 0
    ? { text: `${name}: cannot be told`, more: 'Something that it depends on was not known.' }
    : { text: `${name}: no job begun then was over yet`, more: '' }
}

/** What the shop changed, as an entry says it. */
export const sayWorkChange = ({ kind, what, axis, larger }: WorkChange, reader: Reader): string => {
  if (kind === 'shift') return what ? `Shift: ${what}` : 'Another shift'
  if (kind !== 'offset') return `${kind === 'tool' ? 'Tool changed' : 'Set up anew'}${what ? `: ${what}` : ''}`
  const [amount, of] = [larger ?? 0, axis === null ? 'Offset' : `Offset of ${axis}`]
  return `${of} changed: parts ${amount < 0 ? 'smaller' : 'larger'} by ${size(Math.abs(amount), reader)}${what ? ` (${what})` : ''}`
}

/** What was done or found at a moment. */
export const sayMark = (mark: Mark, shop: Named, reader: Reader): Sentence => {
  const by = 'by' in mark ? [mark.by, mark.note].filter(Boolean).join(': ') : ''
  switch (mark.kind) {
    case 'datum':
      return { text: mark.firstPart ? 'Datum set, a first part measured' : 'Datum set, zeroed at one place', more: by }
    case 'factors':
      return { text: mark.accepted ? 'Factors of the thermal loop accepted' : 'Back to the nominal model', more: by }
    case 'offset':
      return {
        text: `${nameOf(shop.sensors, mark.sensor)} corrected by ${formatDifference(mark.change, reader.system, 'signed', 2)}`,
        more: by,
      }
    case 'alignment':
      return { text: `${capital(mark.check)} checked`, more: by }
    case 'work change':
      return { text: sayWorkChange(mark.change, reader), more: by }
    case 'decision':
      return { text: `Decided in the morning: ${mark.decision}`, more: by }
    case 'trust':
      return mark.fault && mark.trust !== 'ok'
        ? {
            text: `${nameOf(shop.sensors, mark.sensor)} not believed`,
            more: capital(saySensorFault(mark.fault, reader).text),
          }
        : { text: `${nameOf(shop.sensors, mark.sensor)} believed again`, more: '' }
  }
}

interface HappenedInWords {
  /** the main thing, without a full stop */
  headline: string
  /** what the surroundings and the machine did */
  course: string[]
  /** what the wall showed */
  wall: string[]
  /** what would have become of jobs, in the order of the answer */
  jobs: Sentence[]
}

const headlineOf = ({ jobs }: HappenedAnswer, shop: Named): string => {
  const names = (outcome: JobOutcome) =>
    jobs.filter(each => outcomeOf(each, outcome).length > 0).map(({ workClass }) => nameOf(shop.workClasses, workClass))
  const [beyond, perhaps] = [names('beyond'), names('perhaps')]
  const times = (names: readonly string[]) =>
    names.length === jobs.length && jobs.length > 1 ? 'Every kind of work' : listed(names)
  if (beyond.length > 0) return `${times(beyond)} would have been out for a part of this time`
  if (perhaps.length > 0) return `${times(perhaps)} may have been out for a part of this time`
  if (names('within').length > 0) return 'All work would have kept to what heat may take'
  return names('not known').length > 0
    ? 'What would have become of work cannot be told'
    : 'No job that was begun in this time is over yet'
}

/** What happened, for somebody who was not there. */
export const sayHappened = (answer: HappenedAnswer, shop: Named, reader: Reader): HappenedInWords => ({
  headline: headlineOf(answer, shop),
  course: [
    ...sayAir(answer, shop, reader),
    ...saySources(answer, shop, reader),
    ...sayBodies(answer, shop, reader),
    ...sayGrowth(answer, reader),
  ],
  wall: sayWall(answer, shop, reader),
  jobs: answer.jobs.map(each => sayJobsBegun(each, shop, reader)),
})
