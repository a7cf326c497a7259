import { soakedPart } from '../judge/index.js'
import type { ReadyTime } from '../state.js'
import { type Candidate, type JobSituation, lastOf, secondsTo, surely } from './candidate.js'
import { firstTime, lookAt, onMachine } from './looks.js'

/**
 * s; a part that keeps the job waiting longer than the machine does by so much is what is waited for. Judgement, no
 * source
 */
const byPart = 600
/**
 * s; how far beyond the shift's end it is still looked for when a job would be sure to be fit, though none is begun
 * then
 */
const beyond = 7200

/** When a job could begin on a machine, ms since 1970. */
export interface Wait {
  /**
   * `likely`: the error alone is within what is granted; `earliest` and `latest`: the ends of a 90 % interval, the latter
   * not before error and uncertainty are within if conditions hold
   */
  ready: ReadyTime
  /** it is sure, counted as for a go, with what may come until then; null: at no time of this shift, asked now */
  start: number | null
}

/** When a job could begin on a machine, from a start on (ms); null when not before the shift's end. */
export const readyOn = (situation: JobSituation, { on, notBefore }: Candidate, start: number): Wait | null => {
  const { now } = situation
  const from = secondsTo(Math.max(start, notBefore), now)
  const last = Math.max(lastOf(situation), from)
  const likely = firstTime(on, ({ alone }) => alone <= 1, from, last)
  if (likely === null) return null
  const within = firstTime(on, look => look.held <= 1, likely, last + beyond)
  if (within === null) return null
  const sure = firstTime(on, surely(situation), within, last)
  const latest = sure ?? firstTime(on, look => look.highest <= 1, within, last + beyond) ?? within
  const earliest = firstTime(on, ({ lowest }) => lowest <= 1, from, likely) ?? likely
  const time = (ahead: number) => now + ahead * 1000
  return {
    ready: { earliest: time(earliest), likely: time(likely), latest: time(latest) },
    start: sure === null ? null : time(sure),
  }
}

/** What a wait is for: the part where a soaked one would be ready well before. */
export const waitedFor = (
  situation: JobSituation,
  { on, notBefore }: Candidate,
  start: number,
  { likely }: ReadyTime,
): 'machine' | 'part' => {
  const { job, material, now } = situation
  const soaked = onMachine(job, material, { ...on.outlook, part: soakedPart(on.outlook.part) }, on.zeroing)
  const from = secondsTo(Math.max(start, notBefore), now)
  if (lookAt(soaked, from).held <= 1) return 'part'
  const alone = firstTime(soaked, look => look.alone <= 1, from, Math.max(secondsTo(likely, now), from))
  return alone !== null && secondsTo(likely, now) - alone > byPart ? 'part' : 'machine'
}
