import type { Verdict } from '../state.js'

/** How a shown verdict follows the computed one without chattering. IEC 62682 calls these deadband and delays. */
export interface VerdictSettings {
  /** part of the share that must be free before a machine becomes fit */
  deadband: number
  /** s that the index must stay within share less deadband before a machine becomes fit */
  fitDelay: number
  /** s before settling and unfit change places */
  otherDelay: number
  /** s instead of that before settling becomes unfit while the lowest index ahead is not clearly over the share */
  narrowDelay: number
  /** how far over the share, relative, is clear */
  clear: number
}

export const defaultVerdictSettings: VerdictSettings = {
  deadband: 0.12,
  fitDelay: 600,
  otherDelay: 180,
  narrowDelay: 1800,
  clear: 0.3,
}

export interface ShownVerdict {
  verdict: Verdict
  /** ms */
  since: number
  /** ms; since when the index has been low enough to become fit; null when it is not */
  lowSince: number | null
  /** settling or unfit waiting to be shown, and since when */
  pending: { verdict: Verdict; since: number } | null
}

export interface Judgement {
  /** a needed node is missing, late or not believed */
  known: boolean
  /** percent */
  index: number
  /** percent */
  share: number
  /** whether a time can be named at which it will be fit */
  willBeFit: boolean
  /** percent; lowest index ahead if conditions hold */
  lowest: number
}

/**
 * The next verdict shown. Fit is lost at once and earned slowly; unknown is shown at once.
 *
 * @param shown before; null at the very beginning
 * @param now ms
 */
export const nextVerdict = (
  shown: ShownVerdict | null,
  { known, index, share, willBeFit, lowest }: Judgement,
  now: number,
  settings: VerdictSettings = defaultVerdictSettings,
): ShownVerdict => {
  const low = known && index <= share * (1 - settings.deadband)
  const lowSince = low ? (shown?.lowSince ?? now) : null
  const to = (verdict: Verdict): ShownVerdict =>
    shown?.verdict === verdict
      ? { ...shown, lowSince, pending: null }
      : { verdict, since: now, lowSince, pending: null }

  if (!known) return to('unknown')
  if (shown?.verdict === 'fit' && index <= share) return to('fit')
  if (lowSince !== null && now - lowSince >= settings.fitDelay * 1000) return to('fit')

  const target: Verdict = low || willBeFit ? 'settling' : 'unfit'
  const free = !shown || shown.verdict === 'unknown' || shown.verdict === 'fit' || shown.verdict === target
  if (free) return to(target)
  const since = shown.pending?.verdict === target ? shown.pending.since : now
  const narrow = target === 'unfit' && lowest <= share * (1 + settings.clear)
  if (now - since >= (narrow ? settings.narrowDelay : settings.otherDelay) * 1000) return to(target)
  return { ...shown, lowSince, pending: { verdict: target, since } }
}
