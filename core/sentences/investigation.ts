import { formatDuration, formatGrowth, formatShare, formatTemperature } from '../format.js'
import type {
  Assumption,
  Change,
  Conclusion,
  Doubt,
  HeatFindingAnswer,
  OtherCause,
  Settles,
  ToldFigure,
} from '../investigation/index.js'
import { nameOf } from '../names.js'
import type { Shop } from '../shop.js'
import { capital, type Reader, type Sentence, size } from './reader.js'

// The scrap investigation in words: for its page, its print and its tables. Nothing is said that is not computed.

const conclusions: Record<Conclusion, string> = {
  most: 'Heat explains most of it',
  part: 'Heat explains part of it',
  'not heat': 'It was not heat',
  'cannot be told': 'It cannot be told',
}

/** how often something comes about by chance, 0..1, as a supervisor says it */
export const sayChance = (chance: number): string =>
  chance > 0.1 ? `${Math.round(100 * chance)} times in 100` : `1 time in ${Math.round(1 / Math.max(chance, 1e-6))}`

const between = ({ low, high }: ToldFigure, format: (value: number) => string): string =>
  low === null || high === null ? '' : ` (${format(low)} to ${format(high)})`

const plainShare = (value: number) => formatShare(Math.round(value * 100) / 100)
const plainFactor = (value: number) => value.toFixed(2).replace('-', '−')
const parts = (count: number): string => (count === 1 ? '1 part' : `${count} parts`)

const causes: Record<OtherCause['suspect'], string> = {
  tool: 'the tool',
  'tool wear': 'tool wear',
  lot: 'the material lot',
  'set-up': 'the set-up',
  who: 'who made it',
  order: 'the order in which they were made',
  'slow change': 'a slow change over the time',
  gauge: 'the gauge',
  offset: 'the offset',
}
const causeOf = (name: string): string => (Object.hasOwn(causes, name) ? causes[name as OtherCause['suspect']] : name)

/** Why nothing can be told, or what speaks against heat: a clause. */
export const sayDoubt = (doubt: Doubt, reader: Reader): string => {
  switch (doubt.kind) {
    case 'too few parts':
      return `${parts(doubt.parts)} ${doubt.parts === 1 ? 'is' : 'are'} too few, ${doubt.needed} are needed`
    case 'too little movement':
      return `what heat predicts moved too little (${size(doubt.predicted, reader)}) beside the scatter of the parts (${size(doubt.scatter, reader)})`
    case 'chance':
      return `the temperatures of other times go with the parts as well ${sayChance(doubt.chance)}, ${sayChance(doubt.level)} is allowed`
    case 'half days':
      return `the same half days of other days go with the parts as well ${sayChance(doubt.chance)}: it may be what comes back each day`
    case 'slope':
      return `the parts move ${plainFactor(doubt.slope.value)} times as far as heat predicts${between(doubt.slope, plainFactor)}, and 1 is expected`
    case 'wide':
      return `heat may explain anything from ${doubt.explained.low === null ? 'nothing' : plainShare(Math.max(0, doubt.explained.low))} to ${doubt.explained.high === null ? 'all' : plainShare(doubt.explained.high)} of it`
    case 'other explanation':
      return `${causeOf(doubt.name)} explains ${plainShare(doubt.explained)} by itself`
  }
}

/** The conclusion with its strength, and the figures behind it. */
export const sayFinding = (finding: Omit<HeatFindingAnswer, 'settles'>, reader: Reader): Sentence => {
  const { conclusion, doubts, explained, slope, chance } = finding
  const [main] = doubts
  const text =
    conclusion === 'cannot be told' && main
      ? `${conclusions[conclusion]}: ${sayDoubt(main, reader)}`
      : conclusions[conclusion]
  const figures = [
    explained &&
      `The prediction takes away ${explained.value <= 0 ? 'nothing' : plainShare(explained.value)} of the variance${between(explained, plainShare)}`,
    slope &&
      `parts move ${plainFactor(slope.value)} times as far as predicted${between(slope, plainFactor)}, 1 is expected`,
    chance !== null && `by chance it would look so ${sayChance(chance)}`,
  ].filter((each): each is string => typeof each === 'string')
  const rest = doubts
    .slice(conclusion === 'cannot be told' ? 1 : 0)
    .map(doubt => `${capital(sayDoubt(doubt, reader))}.`)
  const first = figures.length > 0 ? [`${capital(figures.join('; '))}.`] : []
  return { text, more: [...first, ...rest].join(' ') }
}

const answers: Record<OtherCause['answer'], string> = {
  explains: 'it has an effect',
  'no sign': 'no sign of it',
  'cannot be told': 'cannot be told',
  'not recorded': 'not recorded',
}

/** What else it may be: its name and the answer, and what the parts say of it. */
export const sayOther = ({ suspect, answer, explained, effect }: OtherCause, { system }: Reader): Sentence => {
  const length = (value: number) => formatGrowth(value, system)
  const rate = { 'tool wear': ' for each unit of its count', 'slow change': ' a day', order: ' from part to part' }
  const per = Object.hasOwn(rate, suspect) ? rate[suspect as keyof typeof rate] : ''
  const amount =
    effect === null
      ? ''
      : suspect === 'gauge'
        ? `One measurement is uncertain by ${formatGrowth(effect.value, system, 'plain')}, by parts that were measured twice.`
        : suspect === 'offset'
          ? `All parts are ${length(effect.value)} off${between(effect, length)}.`
          : `${length(effect.value)}${per || ' between the farthest of them'}${between(effect, length)}.`
  const share = explained === null ? '' : ` By itself it would explain ${plainShare(explained)}.`
  return { text: `${capital(causes[suspect])}: ${answers[answer]}`, more: `${amount}${share}`.trim() }
}

/** What would settle what is open. */
export const saySettles = (settles: Settles, reader: Reader): Sentence => {
  switch (settles.kind) {
    case 'more parts':
      return {
        text: `Measure ${settles.parts} more ${settles.parts === 1 ? 'part' : 'parts'}`,
        more: 'At temperatures like these, with the time of each cut.',
      }
    case 'two temperatures':
      return {
        text: `Cut ${settles.parts} parts at each of two temperatures of the machine`,
        more: `Choose times at which heat should make ${size(settles.apart, reader)} of difference, on several days.`,
      }
    case 'measure twice':
      return {
        text: `Measure ${parts(settles.parts)} twice`,
        more: 'The second time in another order: it tells how much of the scatter is the gauge.',
      }
    case 'record':
      return {
        text: `Write down ${causes[settles.suspect] === 'tool wear' ? 'how many parts the tool had cut' : causes[settles.suspect]}`,
        more: 'What is not recorded cannot be ruled out.',
      }
    case 'turn about':
      return {
        text: `Let ${causes[settles.suspect]} change within the same hours`,
        more: 'It changed together with the temperature, so that the two cannot be told apart.',
      }
    case 'times':
      return {
        text: 'Check the times of the cuts',
        more: 'They go much better with the temperatures when moved by an hour.',
      }
    case 'datum':
      return { text: 'Record when the machine is zeroed', more: 'Without it, drift is counted from the first part.' }
  }
}

type Named = Pick<Shop, 'machines'>
/** What was assumed, or left out. */
export const sayAssumption = (assumption: Assumption, shop: Named): string => {
  switch (assumption.kind) {
    case 'no datum':
      return `No datum of ${nameOf(shop.machines, assumption.machine)} is on record before ${parts(assumption.parts)}: drift is counted from the first one.`
    case 'material not said':
      return `Of ${parts(assumption.parts)} it is not said what they are made of: they are taken to expand like something between steel and aluminium, and the uncertainty allows for it.`
    case 'gauge not said':
      return `${capital(parts(assumption.parts))} were not measured at 20 °C, and it is not said what with: half of their growth is taken out, and the uncertainty allows for the rest.`
    case 'limits not said':
      return `Of ${parts(assumption.parts)} no limit is known: they count as good.`
    case 'not predicted': {
      const why = {
        'no such machine': 'their machine is not in the shop file',
        'no such axis': 'their axis is not in the shop file',
        'temperatures not known': 'the temperatures of their time are not known, or were not believed',
        'ahead of now': 'they lie ahead of now',
      }
      return `${capital(parts(assumption.parts))} cannot be predicted and do not count: ${why[assumption.why]}.`
    }
    case 'clock moved':
      return `All cuts are taken ${formatDuration(Math.abs(assumption.offset))} ${assumption.offset > 0 ? 'later' : 'earlier'} than they are written.`
  }
}

/** What could have been otherwise: a clause for "the same parts, …". */
export const sayChange = (change: Change, shop: Named, { system }: Reader): string => {
  switch (change.kind) {
    case 'held':
      return `machine and part held at ${formatTemperature(change.temperature, system)}`
    case 'datum again':
      return `zeroed again each day at ${change.clock}`
    case 'machine':
      return `cut on ${nameOf(shop.machines, change.machine)}`
    case 'hour':
      return `cut ${formatDuration(Math.abs(change.offset))} ${change.offset > 0 ? 'later' : 'earlier'}`
  }
}
