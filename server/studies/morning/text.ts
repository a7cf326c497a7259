import {
  formatClock,
  formatDateTime,
  formatDifference,
  formatGrowth,
  formatHours,
  formatMoment,
  formatRate,
  formatTemperature,
} from '../../../core/format.js'
import type { MachineMorning, MorningCheck, Night } from '../../../core/morning/index.js'
import { nameOf } from '../../../core/names.js'
import {
  type Reader,
  sayAnswer,
  sayHeating,
  saySensorFault,
  sayTodo,
  sayUnusual,
} from '../../../core/sentences/index.js'
import type { Shop } from '../../../core/shop.js'
import type { SensorState } from '../../../core/state.js'
import { column, columns, wrapped } from './wrapped.js'

/** lines of one A4 or letter sheet in the type of a terminal */
const sheet = 66
/** lines that the titles of jobs and sensors take */
const titles = 4
/** so many lines a section has, at least, when another is long */
const least = { jobs: 14, sensors: 4 }

type Answered = MorningCheck['jobs'][number]

const head = (title: string, more = ''): string[] => {
  const gap = columns - title.length - more.length
  return ['', gap > 1 ? `${title.toUpperCase()}${' '.repeat(gap)}${more}`.trimEnd() : title.toUpperCase()]
}

/** Lines, and what takes their place where there is no room for all. */
const atMost = (lines: readonly string[], most: number, rest: (left: number) => string): string[] =>
  lines.length <= most ? [...lines] : [...lines.slice(0, Math.max(most - 1, 0)), rest(lines.length - most + 1)]

const todoLines = (check: MorningCheck, shop: Shop, reader: Reader): string[] => {
  if (check.todo.length === 0) return ['   Nothing to do: all is as it should be for what is planned.']
  return check.todo.flatMap((todo, i) => {
    const { text, more } = sayTodo(todo, check.jobs, shop, reader)
    const by =
      todo.by === null || todo.by <= reader.now ? 'now' : `by ${formatMoment(todo.by, reader.now, reader.zone)}`
    const effect = todo.jobs.slice(0, 2).map(({ job, after, start }) => {
      const part = check.jobs.find(each => each.job.id === job)?.job.part ?? 'a job'
      return `${part}: ${after}${start === null ? '' : ` at ${formatMoment(start, reader.now, reader.zone)}`}`
    })
    const others = todo.jobs.length > 2 ? ` and ${todo.jobs.length - 2} more` : ''
    const helps = effect.length > 0 ? ` -> ${effect.join('; ')}${others}` : ''
    return wrapped(`${String(i + 1).padStart(2)} `, `${by}: ${text}. ${more}${helps}`)
  })
}

const jobLines = ({ job, answer }: Answered, shop: Shop, reader: Reader): string[] => {
  const said = sayAnswer(answer, job, shop, reader)
  const [planned] = job.machines
  const machine = planned === undefined ? '' : nameOf(shop.machines, planned)
  const start = formatClock(job.start, reader.zone)
  const first = `${start.padStart(8)} ${column(job.part, 22)} ${column(machine, 11)} `
  if (answer.answer === 'go') return wrapped(first, `${said.answer}, ${said.why}`)
  const why = [said.between, said.why, said.change].filter(Boolean).join('. ')
  return [...wrapped(first, said.answer), ...(why ? wrapped(' '.repeat(9), why) : [])]
}

/** What cannot be begun as planned first: what can is named by its number where there is no room. */
const jobsSection = ({ jobs }: MorningCheck, shop: Shop, reader: Reader, most: number): string[] => {
  if (jobs.length === 0) return ['   No jobs are planned for today.']
  const all = jobs.map(each => ({ isGo: each.answer.answer === 'go', lines: jobLines(each, shop, reader) }))
  const count = all.reduce((sum, { lines }) => sum + lines.length, 0)
  if (count <= most) return all.flatMap(({ lines }) => lines)
  const room = most - 1
  const shown: string[] = []
  const left = { go: 0, others: 0 }
  for (const { isGo, lines } of [...all.filter(each => !each.isGo), ...all.filter(each => each.isGo)])
    if (left.go + left.others === 0 && shown.length + lines.length <= room) shown.push(...lines)
    else left[isGo ? 'go' : 'others'] += 1
  const rest = [
    left.others > 0 ? `${left.others} that cannot go as planned` : '',
    left.go > 0 ? `${left.go} that go` : '',
  ]
  return [...shown, `         and ${rest.filter(Boolean).join(', ')}: see the page`]
}

type Class = MachineMorning['classes'][number]
/** columns of the table of machines; where there are more kinds of work than it has room for, they are a list */
const widths = { name: 11, class: 13, night: 19, zero: 10 }
const mostClasses = 3

const classWord = (of: Class | undefined, { now, zone }: Reader): string => {
  if (!of) return 'not made'
  return of.ready ? `from ${formatMoment(of.ready.likely, now, zone)}` : of.verdict
}

/** "X 18 (16)", "X 0.0007 (0.0006)": the axis that swung most, and what is usual; the unit stands above */
const swingWords = ({ night }: MachineMorning, { system }: Reader): string => {
  const widest = night.reduce<MachineMorning['night'][number] | null>(
    (a, b) => (a && (a.swing ?? 0) >= (b.swing ?? 0) ? a : b),
    null,
  )
  if (!widest || widest.swing === null) return 'not known'
  const number = (growth: number) => formatGrowth(growth, system, 'plain').split(' ')[0]
  const usual = widest.usualSwing === null ? '' : ` (${number(widest.usualSwing)})`
  return `${widest.axis} ${number(widest.swing)}${usual}`
}

const zeroWord = ({ datum }: MachineMorning): string => {
  if (!datum) return 'none'
  if (datum.holds === null) return datum.granted === null ? 'not needed' : 'not known'
  return datum.holds ? 'holds' : 'zero again'
}

/** What is not so every morning: warm by its own work, and what was decided. */
const machineNotes = ({ warmUp: { kind, until }, decision }: MachineMorning, { now, zone }: Reader): string => {
  const warming = until === null ? kind : `${kind} until ${formatMoment(until, now, zone)}`
  return [
    kind === 'at rest' || kind === 'not known' ? '' : warming,
    decision ? `decided: ${decision.kind} (${decision.by})` : '',
  ]
    .filter(Boolean)
    .join('; ')
}

const machinesSection = ({ machines }: MorningCheck, shop: Shop, reader: Reader): string[] => {
  const classes = shop.workClasses
  const isTable = classes.length <= mostClasses
  const row = (name: string, each: readonly string[], night: string, zero: string): string =>
    ` ${[
      column(name, widths.name - 1),
      ...(isTable ? each.map(text => column(text, widths.class - 1)) : []),
      column(night, widths.night - 1),
      column(zero, widths.zero),
    ].join(' ')}`.trimEnd()
  const names = classes.map(({ name }) => name)
  return [
    '',
    row('MACHINES', names, `night (usual), ${formatGrowth(0, reader.system).split(' ')[1]}`, 'zero').replace(
      /^ (\S+)/,
      '$1 ',
    ),
    ...machines.flatMap(of => {
      const name = nameOf(shop.machines, of.machine)
      const words = classes.map(({ id }) =>
        classWord(
          of.classes.find(({ workClass }) => workClass === id),
          reader,
        ),
      )
      const listed = isTable ? '' : names.map((each, i) => `${each} ${words[i]}`).join(', ')
      const notes = [listed, machineNotes(of, reader)].filter(Boolean).join('; ')
      return [
        row(name, words, swingWords(of, reader), zeroWord(of)),
        ...(notes ? wrapped(' '.repeat(widths.name + 1), notes) : []),
      ]
    }),
  ]
}

const airWords = ({ name, course, swing, fastest, outside }: Night['airs'][number], reader: Reader): string => {
  const { system, zone } = reader
  const now = course.value.findLast(value => value !== null)
  if (now === undefined || now === null) return `${name} not known`
  const rate = fastest ? `, fastest ${formatRate(fastest.rate, system)} at ${formatClock(fastest.at, zone)}` : ''
  const limits = outside === null ? '' : `, ${formatHours(outside)} outside its limits`
  return `${name} ${formatTemperature(now, system)}, swing ${formatDifference(swing, system, 'plain')}${rate}${limits}`
}

const nightLines = (check: MorningCheck, shop: Shop, reader: Reader): string[] => {
  const { night } = check
  if (!night) return ['   Nothing is known of it.', ...heatingLines(check, shop, reader)]
  const at = (moment: number) => formatMoment(moment, reader.now, reader.zone)
  const { setback } = night
  const usual = setback?.usualBack ?? null
  const heating = setback && [
    setback.began === null ? '' : `set back ${at(setback.began)}`,
    setback.back !== null ? `heating back ${at(setback.back)}${usual === null ? '' : ` (usually ${at(usual)})`}` : '',
    setback.back === null && usual !== null ? `heating usually back ${at(usual)}` : '',
  ]
  return [
    ...night.airs.flatMap(air => wrapped('   ', airWords(air, reader))),
    ...(heating ? wrapped('   ', `By the air: ${heating.filter(Boolean).join('; ')}`) : []),
    ...night.unusual.flatMap(each => {
      const { text, more } = sayUnusual(each, shop, reader)
      return wrapped(' ! ', `${text}. ${more}`)
    }),
    ...heatingLines(check, shop, reader),
  ]
}

const heatingLines = ({ heating }: MorningCheck, shop: Shop, reader: Reader): string[] => {
  if (!heating) return []
  const { text, more } = sayHeating(heating, shop, reader)
  return wrapped('   ', `Heating for ${text}. ${more}`)
}

const kinds: Record<MorningCheck['sensors'][number]['kind'], string> = {
  suspect: 'not believed',
  late: 'late',
  lost: 'lost',
  overdue: 'calibration overdue',
  gap: 'no readings',
  battery: 'battery low',
}

const sensorLines = (
  { sensors }: MorningCheck,
  shop: Shop,
  states: readonly SensorState[],
  reader: Reader,
): string[] => {
  if (sensors.length === 0) return ['   All sensors are believed, none is overdue, the night has no gaps.']
  return sensors.flatMap(({ sensor, kind, since, until }) => {
    const name = nameOf(shop.sensors, sensor)
    const fault = kind === 'suspect' || kind === 'lost' ? states.find(each => each.sensor === sensor)?.fault : null
    const at = (moment: number) => formatMoment(moment, reader.now, reader.zone)
    const when = since === null ? '' : until === null ? ` since ${at(since)}` : ` ${at(since)}-${at(until)}`
    const why = fault ? `: ${saySensorFault(fault, reader).text}` : ''
    return wrapped(` ${column(name, 22)} `, `${kinds[kind]}${when}${why}`)
  })
}

/**
 * The morning check as plain text: one sheet of at most 80 columns, for a terminal, a mail or a chat. What has no room is
 * counted, and the page has it all.
 *
 * @param states of the sensors, for why they are not believed
 */
export const morningText = (
  check: MorningCheck,
  shop: Shop,
  states: readonly SensorState[],
  reader: Reader,
): string => {
  const { night } = check
  const nights = night?.airs.find(({ usual }) => usual)?.nights ?? 0
  const span = night
    ? `${formatMoment(night.from, reader.now, reader.zone)} to ${formatClock(night.to, reader.zone)}`
    : ''
  const beside = nights > 0 ? `, beside ${nights} nights of its kind` : ''
  const go = check.jobs.filter(({ answer }) => answer.answer === 'go').length
  const time = formatDateTime(check.at, reader.zone)
  const top = [`${column(`MORNING CHECK  ${shop.name}`, columns - time.length - 1)} ${time}`]
  const todo = [...head('What to do first'), ...todoLines(check, shop, reader)]
  const machines = machinesSection(check, shop, reader)
  const nightPart = [...head('The night', `${span}${beside}`), ...nightLines(check, shop, reader)]
  const bottom = [
    '',
    ...wrapped(
      '',
      'Advice only, for jobs begun then and if doors, vents and heat sources go on as usual. Follow the machine builder’s instructions; lock out ' +
        'before you reach into a machine to touch a sensor, level or tram it.',
    ),
  ]
  const sensors = sensorLines(check, shop, states, reader)
  const fixed = top.length + todo.length + nightPart.length + bottom.length + titles
  const room = sheet - fixed
  const forSensors = Math.min(sensors.length, Math.max(least.sensors, room - machines.length - least.jobs))
  const forMachines = Math.min(machines.length, Math.max(room - forSensors - least.jobs, 6))
  return [
    ...top,
    ...todo,
    ...head('Today’s jobs', check.jobs.length > 0 ? `${go} of ${check.jobs.length} go as planned` : ''),
    ...jobsSection(check, shop, reader, Math.max(room - forSensors - forMachines, least.jobs)),
    ...atMost(machines, forMachines, left => `   and ${left} more lines: see the page`),
    ...nightPart,
    ...head('Not believed, overdue, missing'),
    ...atMost(sensors, forSensors, left => `   and ${left} more lines: see the page`),
    ...bottom,
    '',
  ].join('\n')
}
