import { formatClock, formatDuration, formatGrowth, formatSpeed, formatTemperature } from '../format.js'
import type { JobAnswer, MorningCheck, Night, PlannedJob, Todo } from '../morning/index.js'
import { nameOf } from '../names.js'
import type { Shop } from '../shop.js'
import type { ReadyTime } from '../state.js'
import { at, capital, type Reader, type Sentence, size } from './reader.js'
import { sayReason } from './reasons.js'
import { sayRemedy } from './remedies.js'

// The morning check in words: for its page, its print and its text.

type Named = Pick<Shop, 'machines' | 'sensors' | 'sources'>

const interval = ({ earliest, latest }: ReadyTime, reader: Reader): string =>
  `${at(earliest, reader)}–${at(latest, reader)}`

/** "Likely as planned", or "Likely 09:40, earliest 09:20": the latest is said already. */
const likelyWhen = ({ earliest, likely }: ReadyTime, { start }: PlannedJob, reader: Reader): string =>
  likely - start < 60_000 ? 'Likely as planned' : `Likely ${at(likely, reader)}, earliest ${at(earliest, reader)}`

/** The parts of a line about a planned job. */
interface AnswerInWords {
  /** "Wait until 09:40", "Go" */
  answer: string
  /** "Likely 09:40, earliest 09:20"; empty where nothing is waited for */
  between: string
  /** what is so, without a full stop; may be empty */
  why: string
  /** the one change that would help most, and when the job could be begun then; may be empty */
  change: string
}

/** The first clause of a sentence: what a line has room for; the figures stand beside it. */
const gist = (text: string): string => text.split(/[:.] /, 1)[0]!

const mainReason = ({ reasons }: JobAnswer, reader: Reader): string =>
  reasons[0] ? gist(sayReason(reasons[0], reader).text) : ''

const join = (...parts: string[]): string => capital(parts.filter(Boolean).join('. '))

/** The answer to a planned job. */
export const sayAnswer = (of: JobAnswer, job: PlannedJob, shop: Named, reader: Reader): AnswerInWords => {
  const machine = (id: string) => nameOf(shop.machines, id)
  const planned = job.machines[0] ?? of.machine
  const main = mainReason(of, reader)
  // when to begin is said already
  const isSaid = of.answer === 'wait' && (of.change?.kind === 'soak' || of.change?.kind === 'wait')
  const ask = of.change && !isSaid ? gist(sayRemedy(of.change, reader).text) : ''
  const between = of.ready ? interval(of.ready, reader) : ''
  const start = of.start ?? job.start
  const fitBy = of.change && 'leaves' in of.change ? of.change.leaves.fitBy : null
  const change = ask && fitBy !== null ? `${ask}: go at ${at(fitBy, reader)}` : ask
  switch (of.answer) {
    case 'go': {
      const late = start - job.start > 60_000
      return {
        answer: 'Go',
        between: '',
        why: late
          ? `begun at ${at(start, reader)}, planned for ${at(job.start, reader)}`
          : `as planned, ${at(start, reader)}`,
        change: '',
      }
    }
    case 'wait':
      return {
        // so far ahead no start is sure: what comes until then decides
        answer:
          of.start === null ? `Ask again at ${at(of.ready!.latest, reader)}` : `Wait until ${at(of.start, reader)}`,
        between: likelyWhen(of.ready!, job, reader),
        why: of.waitsFor === 'part' ? `For the part${main && `: ${main}`}` : main || `For ${machine(of.machine)}`,
        change,
      }
    case 'move': {
      const when = start - reader.now > 60_000 ? `at ${at(start, reader)}` : 'now'
      const stays = of.ready ? `${machine(planned)} only from ${at(of.ready.likely, reader)} (${between})` : ''
      return {
        answer: `Move to ${machine(of.machine)}`,
        between: '',
        why: join(`fit there ${when}`, stays || (main && `${machine(planned)}: ${main}`)),
        change: '',
      }
    }
    case 'go once zeroed':
    case 'cannot tell':
    case 'not today':
      return { answer: capital(of.answer), between: '', why: main, change }
  }
}

/** A line of what to do first: what, and why. */
export const sayTodo = ({ about }: Todo, jobs: MorningCheck['jobs'], shop: Named, reader: Reader): Sentence => {
  const machine = (id: string) => nameOf(shop.machines, id)
  switch (about.kind) {
    case 'sensor':
      return {
        text: `Check sensor ${nameOf(shop.sensors, about.sensor)}`,
        more: 'It is not believed, so nothing can be said of what needs it.',
      }
    case 'remedy': {
      const { text, more } = sayRemedy(about.remedy, reader)
      const ask = gist(text)
      return {
        text:
          about.remedy.kind === 'sensor'
            ? ask
            : `${machine(about.machine)}: ${ask.charAt(0).toLowerCase()}${ask.slice(1)}`,
        more: about.reason ? `${gist(sayReason(about.reason, reader).text)}.` : more,
      }
    }
    case 'soak': {
      const parts = jobs.filter(({ job }) => about.jobs.includes(job.id)).map(({ job }) => job.part)
      return {
        text: `Let ${parts.join(' and ') || 'the parts'} soak until ${at(about.until, reader)}`,
        more: 'Until then the part is not as warm as the machine.',
      }
    }
    case 'spindle warm-up': {
      const of = jobs.find(({ job }) => job.id === about.job)
      return {
        text: `${machine(about.machine)}: begin the spindle’s warm-up, ${formatDuration(about.duration)}`,
        more: `${of ? `${of.job.part} begins at ${at(of.answer.start ?? of.job.start, reader)} with a tool at ` : 'Its first tool turns at '}${formatSpeed(about.speed)}. Guard closed, and the machine builder’s instructions first.`,
      }
    }
    case 'no levelling':
      return {
        text: `Do not level or tram ${machine(about.machine)} ${about.until === null ? 'today' : `before ${at(about.until, reader)}`}`,
        more: 'It is still settling: a level set now would not last.',
      }
    case 'heating late': {
      const late = formatDuration(((about.came ?? reader.now) - about.usual) / 1000)
      return {
        text:
          about.came === null ? `See why the heating is not back yet` : `See why the heating came back ${late} late`,
        more: `Usually back at ${at(about.usual, reader)}${about.came === null ? `: ${late} late by now` : `, today at ${at(about.came, reader)}`}.`,
      }
    }
    case 'calibration':
      return {
        text: `Calibrate sensor ${nameOf(shop.sensors, about.sensor)}`,
        more: `Due ${about.due}; until then its uncertainty counts for more.`,
      }
  }
}

/** Something unusual of the night: what it was, and how it usually is. */
export const sayUnusual = (of: Night['unusual'][number], shop: Named, reader: Reader): Sentence => {
  const { system, zone } = reader
  const degrees = (celsius: number) => formatTemperature(celsius, system)
  switch (of.kind) {
    case 'heating':
      return {
        text: of.back === null ? 'Heating not back yet' : `Heating back at ${formatClock(of.back, zone)}`,
        more: `Usually at ${formatClock(of.usual, zone)}. The air is at ${degrees(of.air)}, usually ${degrees(of.usualAir)} by now.`,
      }
    case 'open': {
      const door = nameOf(shop.sources, of.source)
      return {
        text: `${door} open ${formatDuration(of.for)}${of.still ? ', and still open' : ''}`,
        more: `Usually ${of.usual < 30 ? 'shut all night' : formatDuration(of.usual)}.`,
      }
    }
    case 'outdoors':
      return {
        text: `Outdoors ${degrees(of.lowest)} at ${formatClock(of.at, zone)}`,
        more: `The coldest of the last ${of.ofNights} nights.`,
      }
    case 'air': {
      const off = of.now < of.low ? 'colder' : 'warmer'
      return {
        text: `${capital(of.name)} ${degrees(of.now)}, ${off} than usual`,
        more: `Nine of ten such nights end between ${degrees(of.low)} and ${degrees(of.high)}.`,
      }
    }
    case 'growth':
      return {
        text: `${nameOf(shop.machines, of.machine)} ${of.axis} ${formatGrowth(of.amount, system)}`,
        more: `Usually ${size(of.usual, reader)}.`,
      }
  }
}
