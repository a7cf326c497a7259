import { formatDuration } from '../../core/format.js'
import type { PartSoak } from '../../core/soak/index.js'

/** s; steps that a time of this length is worth telling in */
const stepOf = (seconds: number): number => {
  if (seconds < 120) return 10
  if (seconds < 30 * 60) return 60
  if (seconds < 6 * 3600) return 300
  return 900
}

const inSteps = (seconds: number, how: 'floor' | 'round' | 'ceil') => {
  const step = stepOf(seconds)
  return Math[how](seconds / step) * step
}

/** The times of a soak as they are told: no finer than they are known, the earliest not later and the latest not earlier. */
export const toldTimes = ({ earliest, likely, latest }: PartSoak['ready']): PartSoak['ready'] => {
  const told = { earliest: inSteps(earliest, 'floor'), latest: inSteps(latest, 'ceil') }
  return { ...told, likely: Math.min(Math.max(inSteps(likely, 'round'), told.earliest), told.latest) }
}

/**
 * The answer in a few words.
 *
 * @param told   s from the beginning, see `toldTimes`
 * @param passed s since the beginning; 0 when it has not begun
 */
export const readyWords = (told: PartSoak['ready'], passed: number): { fact: string; interval: string } => {
  const left = (seconds: number) => formatDuration(Math.max(seconds - passed, 0))
  if (passed >= told.latest)
    return told.latest === 0
      ? { fact: 'Ready now', interval: 'its error is within what is allowed already' }
      : { fact: 'Ready', interval: 'the latest time has passed' }
  if (passed >= told.likely) return { fact: 'Likely ready', interval: `at the latest in ${left(told.latest)}` }
  const from = passed >= told.earliest ? 'now' : left(told.earliest)
  return { fact: `Ready in ${left(told.likely)}`, interval: `${from} to ${left(told.latest)}` }
}
