import { quantile } from '../statistics/quantile.js'
import type { CauseKind, Interval } from './answer.js'
import { hallTerms } from './hall.js'
import type { ShopModel } from './model.js'

/**
 * How far what the model has a cause do to a machine is off, beyond what drawing days again tells: by so much of itself, and by so
 * much of the whole movement, in nine of ten cases. Days tell how days differ, not how far a shop differs from what the model
 * describes it by: what always runs hides in what is always there, a thermostat answers in steps, clouds are not known. Seen in
 * simulated shops of development.
 */
const misfits: Record<CauseKind, { ofItself: number; ofAll: number }> = {
  door: { ofItself: 0.4, ofAll: 0.08 },
  vent: { ofItself: 0.5, ofAll: 0.2 },
  'heat source': { ofItself: 0.5, ofAll: 0.15 },
  outdoors: { ofItself: 0.8, ofAll: 0.6 },
  'own work': { ofItself: 0.2, ofAll: 0.08 },
  week: { ofItself: 0.2, ofAll: 0.12 },
  unexplained: { ofItself: 0.2, ofAll: 0.12 },
}

/** of several causes together: the largest of theirs */
const misfitOf = (kinds: readonly CauseKind[]) => {
  const all = (kinds.length > 0 ? kinds : (['unexplained'] as const)).map(kind => misfits[kind])
  return { ofItself: Math.max(...all.map(m => m.ofItself)), ofAll: Math.max(...all.map(m => m.ofAll)) }
}

const wider = ({ likely, low, high }: Interval, less: number, more: number): Interval => ({
  likely,
  low: likely - Math.hypot(likely - low, less),
  high: likely + Math.hypot(high - likely, more),
})

/**
 * The interval of a share with the model's own misfit.
 *
 * A cause that did `k` times what the model says has the share `k·(s + e²) − k²·e²`; one that did something else beside it, as large
 * as a part of the whole movement and half correlated with the rest, adds or takes twice that half, and takes its square.
 *
 * @param share  as days tell it
 * @param effect of the movement, 0 on; standard deviation of what the model has it do
 */
export const shareWithMisfit = (share: Interval, effect: number, kinds: readonly CauseKind[]): Interval => {
  const { ofItself, ofAll } = misfitOf(kinds)
  const s = share.likely
  const times = (k: number) => k * (s + effect ** 2) - (k * effect) ** 2
  const ends = [times(1 - ofItself), times(1 + ofItself), s]
  const beside = ofAll * Math.sqrt(Math.max(0, 1 - s))
  const within = Math.min(1, Math.max(0, s))
  const shape = 0.06 + 0.9 * within * (1 - within)
  return wider(
    share,
    Math.hypot(shape, s - Math.min(...ends), beside + ofAll ** 2),
    Math.hypot(shape, Math.max(...ends) - s, beside),
  )
}

/** The interval of what a cause added to a movement, with the model's own misfit. @param moved standard deviation of the movement */
export const addedWithMisfit = (added: Interval, moved: number, kinds: readonly CauseKind[]): Interval => {
  const { ofItself, ofAll } = misfitOf(kinds)
  const off = Math.hypot(ofItself * added.likely, ofAll * moved)
  const { likely, low, high } = wider(added, off, off)
  return { likely, low: Math.max(0, low), high }
}

/** 0..1; what the model has causes do is off by so much of it, in nine of ten cases. */
export const effectUnsure = (kinds: readonly CauseKind[]): number => misfitOf(kinds).ofItself

/**
 * Whether no figure should be told of what a source does. Of vents mostly none is right: one that blows by day hardly differs from
 * what every day brings, and what it exchanges from what leaks. Of a heat source one is told where the shop's air shows it, and not
 * where a thermostat takes back all that it gives: there drawings of the model leave it nothing as well.
 *
 * @param source id; or of another cause, which is never rough
 */
export const isRough = ({ halls }: Pick<ShopModel, 'halls'>, source: string, kind: CauseKind): boolean => {
  if (kind !== 'heat source') return kind === 'vent'
  return !halls.some(({ sources, drawn }) => {
    const gain = hallTerms.length + sources.indexOf(source)
    const gains = drawn.map(values => values[gain]!)
    return sources.includes(source) && drawn.length > 0 && quantile(gains, 0.05) > 0
  })
}
