import { lookedBack } from '../../core/judge/fit-by-record.js'
import type { ClassState } from '../../core/state.js'

/** Why no time is named, in words that can be read from afar. */
export interface NoTime {
  named: string
  because: string
  /** the same where many machines stand on a wall */
  inShort: string
}

/** Why no time is named for what settles; null where one is, or where there is none to be named. */
export const noTimeOf = ({ verdict, ready, reasons }: ClassState): NoTime | null => {
  if (verdict !== 'settling' || ready) return null
  const poor = reasons.find(reason => reason.kind === 'poor record')
  if (!poor) return { named: 'no time', because: 'too much may happen', inShort: 'unsure' }
  const { kept, of, isFirstDay } = poor
  const { least } = lookedBack
  if (of < least)
    return { named: 'no time yet', because: `${of} of ${least} waits seen`, inShort: `${of}/${least} seen` }
  return isFirstDay
    ? { named: 'no time yet', because: 'none on the first day', inShort: 'first day' }
    : { named: 'no time', because: `only ${kept} of ${of} came true`, inShort: `${kept}/${of} true` }
}
