import {
  formatDuration,
  formatLength,
  formatMoment,
  formatPercent,
  formatShare,
  formatSince,
  formatTolerance,
  type Zone,
} from '../../core/format.js'
import type { Reader } from '../../core/sentences/index.js'
import type { Machine, WorkClass } from '../../core/shop.js'
import type { ClassState, ReadyTime, Reason, Remedy } from '../../core/state.js'
import { windowScale } from '../charts/scale.js'
import { ScaleNumbers } from '../charts/scale-numbers.js'
import { ToleranceWindow } from '../charts/tolerance-window.js'
import { CardTitle } from '../frame/card.js'
import { units } from '../preferences.js'
import { VerdictMark } from '../shapes/verdict.js'
import { reasonInWords, recordInWords, remedyInWords, unbroken } from '../words.js'

interface Props {
  machine: Machine
  workClass: WorkClass
  /** undefined when nothing is known or what is known must not be believed any more */
  state: ClassState | undefined
  instead: string
  now: number
  zone: Zone
}

/** when the error itself, apart from how well it is known, is within the share */
const errorWithin = ({ likely, earliest }: ReadyTime, now: number, zone: Zone): string => {
  if (likely <= now) return 'already.'
  const [first, usual] = [earliest, likely].map(moment => formatMoment(moment, now, zone))
  return first === usual ? `from ${usual}.` : `from ${usual}, at the earliest from ${first}.`
}

/** Whether the uncertainty that the verdict counts decides otherwise than that of the index. */
const isRuled = (state: ClassState, share: number): state is ClassState & { counted: number } =>
  state.counted !== null && state.counted > 100 * share !== state.thermalErrorIndex! > 100 * share

/** reasons that are always in view; the first ones weigh most */
const few = 3

const Reasons = ({ reasons, reader }: { reasons: readonly Reason[]; reader: Reader }) => {
  if (reasons.length === 0) return null
  const list = (part: readonly Reason[]) => (
    <ul class="reasons">
      {part.map((reason, i) => {
        const { text, more } = reasonInWords(reason, reader)
        return (
          <li key={`${reason.kind} ${i}`}>
            {text}
            <span class="quiet"> {more}</span>
          </li>
        )
      })}
    </ul>
  )
  // what takes no share of the tolerance is said in any case; a single share more is sooner read than asked for
  const shares = reasons.filter(reason => 'amount' in reason)
  const lesser: readonly Reason[] = shares.length > few + 1 ? shares.slice(few) : []
  return (
    <>
      {list(reasons.filter(reason => !lesser.includes(reason)))}
      {lesser.length > 0 && (
        <details>
          <summary>{lesser.length} lesser reasons</summary>
          {list(lesser)}
        </details>
      )}
    </>
  )
}

/** The one line of what to do about it. */
const ToDo = ({ remedy, reader }: { remedy: Remedy; reader: Reader }) => {
  const { text, more } = remedyInWords(remedy, reader)
  return (
    <p class="class-card-remedy">
      <strong>{text}.</strong> <span class="quiet">{more}</span>
    </p>
  )
}

/** One work class on a machine: verdict, window, index, when, and every reason. */
export const ClassCard = ({ machine, workClass: c, state, instead, now, zone }: Props) => {
  const system = units.value
  const scale = windowScale(c)
  const verdict = state?.verdict ?? 'unknown'
  return (
    <section class={`panel class-card reads-${verdict}`} aria-label={c.name}>
      <div class="flow class-card-head">
        <div>
          <CardTitle text={c.name} about="verdicts#how-it-is-computed" />
          <p class="quiet">
            {unbroken(
              `${formatTolerance(c.tolerance, system)} over ${formatLength(c.featureLength, system)}, ${c.material.name}, ${formatDuration(c.duration)}, zero set at ${c.zeroedAt === 'datum' ? 'the datum' : 'the job’s start'}`,
            )}
          </p>
        </div>
        <div class="class-card-verdict">
          <VerdictMark verdict={verdict} {...(!state && { word: instead })} />
          <p class="quiet">{state && formatSince(state.since, now, zone)}</p>
        </div>
      </div>
      {state && (
        <>
          {state.ready && (
            <p class="class-card-ready">
              fit by <strong>{formatMoment(state.ready.latest, now, zone)}</strong>{' '}
              <span class="quiet">
                if doors, vents and heat sources go on as usual. The error itself is likely within the share{' '}
                {errorWithin(state.ready, now, zone)}
                {state.fitByRecord && ` ${recordInWords(state.fitByRecord)}`}
              </span>
            </p>
          )}
          <p>
            {state.thermalErrorIndex === null
              ? 'How much of the tolerance heat takes cannot be told.'
              : `Heat takes ${formatPercent(state.thermalErrorIndex)} of the tolerance; ${formatShare(c.share)} is granted.`}
            {isRuled(state, c.share) &&
              ` By the shop’s decision rule ${formatPercent(state.counted)} count against that.`}
          </p>
          <div class="class-window">
            <ToleranceWindow names={machine.axes.map(a => a.id)} axes={state.axes} scale={scale} />
            <ScaleNumbers scale={scale} />
          </div>
          {state.remedy && <ToDo remedy={state.remedy} reader={{ system, zone, now }} />}
          <Reasons reasons={state.reasons} reader={{ system, zone, now }} />
        </>
      )}
    </section>
  )
}
