import type { Verdict } from '../state.js'

/** How a shown verdict follows the computed one without chattering. IEC 62682 calls these deadband and delays. */
interface VerdictSettings {
  /** s; how long the index must stay within the share before a machine becomes fit */
  fitDelay: number
  /** s; data may be missing for so long without a machine having to earn fit anew */
  shortGap: number
  /** s before unfit becomes settling */
  settlingDelay: number
  /**
   * s before settling becomes unfit; and while the lowest index ahead is not clearly over the share. Air that a thermostat
   * keeps comes and goes within an hour, and what is said ahead goes with it
   */
  unfitDelay: number
  narrowDelay: number
  /** how far over the share, relative, is clear */
  clear: number
  /** s; what is fit may be in doubt for so long: by then readings confirm it or not */
  doubtDelay: number
}

/** Judgement, no source: a change is held against what the examination (`npm run exam`) finds falsely called fit. */
export const defaultVerdictSettings: VerdictSettings = {
  fitDelay: 300,
  shortGap: 120,
  settlingDelay: 180,
  unfitDelay: 300,
  narrowDelay: 5400,
  clear: 0.6,
  doubtDelay: 600,
}

/** The verdict that people see, and what the next one depends on. */
export interface ShownVerdict {
  verdict: Verdict
  /** ms */
  since: number
  /** ms; since when the index has been low enough to become fit, and then to stay so; null when it is not */
  lowSince: number | null
  /** settling or unfit waiting to be shown, and since when, ms; while fit is shown, the doubt that may become so */
  pending: { verdict: Verdict; since: number } | null
}

/** What is computed of a job of a work class at a moment. */
export interface Judgement {
  /** false where a needed node is missing, late or not believed */
  known: boolean
  /** error with the uncertainty that a machine must have to become fit, percent of the tolerance; and to stay so */
  index: number
  kept: number
  /** percent; what of the share must be left over by that to become fit */
  room: number
  /**
   * it is not kept only because it has become less sure where bodies are heading, and the error itself leaves a margin; or
   * by so little that this may be gone in a moment
   */
  isDoubtOnly: boolean
  /** percent; share of the tolerance that the work class grants to heat */
  share: number
  /** whether it comes to be fit as things usually go, be it at a time that cannot be promised */
  willBeFit: boolean
  /** percent; the lowest of the same ahead */
  lowest: number
}

/**
 * The next verdict shown. Fit is earned slowly and lost at once, but for a mere doubt that readings have not confirmed yet.
 * Unknown is shown at once.
 *
 * @param shown before; null at the very beginning
 * @param now ms
 */
export const nextVerdict = (
  shown: ShownVerdict | null,
  { known, index, kept, room, isDoubtOnly, share, willBeFit, lowest }: Judgement,
  now: number,
  settings: VerdictSettings = defaultVerdictSettings,
): ShownVerdict => {
  const low = known && index <= share && kept <= share - room
  // a gap in the data that was short does not begin the waiting anew
  const bridged = shown && (shown.verdict !== 'unknown' || now - shown.since <= settings.shortGap * 1000)
  const before = bridged ? shown.lowSince : null
  // what has been earned is kept by the rule alone
  const isEarned = before !== null && now - before >= 1000 * settings.fitDelay
  const isKept = known && isEarned && kept <= share
  const lowSince = low ? (before ?? now) : !known || isKept ? before : null
  const to = (verdict: Verdict): ShownVerdict =>
    shown?.verdict === verdict
      ? { ...shown, lowSince, pending: null }
      : { verdict, since: now, lowSince, pending: null }

  if (!known) return to('unknown')
  const isNear = lowest <= share * (1 + settings.clear)
  if (shown?.verdict === 'fit') {
    if (kept <= share) return to('fit')
    const since = shown.pending?.since ?? now
    if (isDoubtOnly && now - since < settings.doubtDelay * 1000)
      return { ...shown, lowSince: before, pending: { verdict: 'settling', since } }
  }
  if (lowSince !== null && now - lowSince >= 1000 * settings.fitDelay) return to('fit')

  // what was fit a moment ago and is not far from it is not unfit
  const settles = low || willBeFit || (shown?.verdict === 'fit' && isNear)
  const target: Verdict = settles ? 'settling' : 'unfit'
  const free = !shown || shown.verdict === 'unknown' || shown.verdict === 'fit' || shown.verdict === target
  if (free) return to(target)
  const since = shown.pending?.verdict === target ? shown.pending.since : now
  const unfitDelay = isNear ? settings.narrowDelay : settings.unfitDelay
  if (now - since >= 1000 * (target === 'settling' ? settings.settlingDelay : unfitDelay)) return to(target)
  return { ...shown, lowSince, pending: { verdict: target, since } }
}
