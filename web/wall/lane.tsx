import { formatMoment, formatPercent, formatSince, type Zone } from '../../core/format.js'
import type { Reader } from '../../core/sentences/index.js'
import type { Machine } from '../../core/shop.js'
import type { ClassState, FitByRecord, ReadyTime } from '../../core/state.js'
import { leavingWithinHour, type WindowScale } from '../charts/scale.js'
import { ScaleNumbers } from '../charts/scale-numbers.js'
import { ToleranceWindow } from '../charts/tolerance-window.js'
import { units } from '../preferences.js'
import { addressOf } from '../routes.js'
import { VerdictMark } from '../shapes/verdict.js'
import { reasonInWords, recordInWords, unbroken } from '../words.js'
import { briefly } from './causes.js'
import { type NoTime, noTimeOf } from './no-time.js'

/** The one time that counts on a wall; when the error itself may be within the share stands on the machine's page. */
const Ready = ({
  ready,
  record,
  now,
  zone,
  form,
}: { ready: ReadyTime; record: FitByRecord | null } & Pick<Props, 'now' | 'zone' | 'form'>) => {
  const latest = formatMoment(ready.latest, now, zone)
  return (
    <p class="lane-ready">
      {/* in rows the times stand under each other, and the verdict beside them says what they are of */}
      <span class={form === 'row' ? 'hidden' : 'ready-label'}>fit by </span>
      <strong class={latest.length > 5 ? 'ready-time is-far' : 'ready-time'}>{latest}</strong>
      {/* who stands before a wall cannot read it; who holds it in the hand can */}
      {form === 'card' && record && <span class="quiet"> {recordInWords(record)}</span>}
    </p>
  )
}

/** Where the time would stand, why there is none: it is looked for there. */
const NoTimeYet = ({ noTime: { named, because, inShort }, form }: { noTime: NoTime } & Pick<Props, 'form'>) => (
  <p class="lane-ready is-none">
    <span class="none-named">{named}: </span>
    <span class="none-because">{form === 'row' ? inShort : because}</span>
  </p>
)

/** What is said beside the window: why it is not fit, or how much of the share is left. */
const why = (state: ClassState, scale: WindowScale, reader: Reader): string => {
  // a calibration that is overdue is for the pages of the machine and the sensors: the verdict stands
  const reason = state.reasons.find(({ kind }) => kind !== 'calibration')
  if (reason) return reasonInWords(reason, reader).text
  if (state.verdict !== 'fit') return ''
  const leaving = leavingWithinHour(scale, state.axes)
  if (leaving.length > 0) return `Holds now; ${leaving.join(' and ')} would be outside in an hour`
  return unbroken(`Heat takes ${formatPercent(state.counted ?? state.thermalErrorIndex)} of the tolerance`)
}

interface Props {
  machine: Machine
  /** undefined when nothing is known of it, or what is known must not be believed any more */
  state: ClassState | undefined
  /** what stands for the verdict then */
  instead: string
  scale: WindowScale
  now: number
  zone: Zone
  /**
   * `lane`: across the wall, its window in line with the others'; `row`: one of many, what cannot be read from afar is
   * left out; `card`: on a small screen, whole and with a scale of its own
   */
  form: 'lane' | 'row' | 'card'
  search: string
  /** its cause is most machines' and stands at the top of the wall: here only what it does to this one */
  saidForAll: boolean
}

/** characters; a longer text is written smaller, the sooner where the ready time stands beside it */
const longText = (besideReady: boolean): number => (besideReady ? 60 : 84)

/** One machine on the wall. */
export const Lane = ({ machine, state, instead, scale, now, zone, form, search, saidForAll }: Props) => {
  const verdict = state?.verdict ?? 'unknown'
  const settling = state?.verdict === 'settling' ? state.ready : null
  const noTime = state ? noTimeOf(state) : null
  const reader = { system: units.value, zone, now }
  const text = !state ? '' : saidForAll ? briefly(state, reader) : why(state, scale, reader)
  return (
    <li class={`lane ${settling || noTime ? 'has-ready' : ''} reads-${verdict}`} data-machine={machine.id}>
      <h2 class={machine.name.length > 14 ? 'lane-name is-long' : 'lane-name'}>
        <a href={`${addressOf('machine', machine.id)}${search}`}>{machine.name}</a>
      </h2>
      {form === 'card' && <p class="lane-about">{machine.description}</p>}
      <p class="lane-verdict">
        <VerdictMark verdict={verdict} {...(!state && { word: instead })} />
      </p>
      {form !== 'row' && (
        <>
          <p class="lane-since">{state && formatSince(state.since, now, zone)}</p>
          <ToleranceWindow names={machine.axes.map(a => a.id)} axes={state?.axes ?? []} scale={scale} />
        </>
      )}
      {form === 'card' && <ScaleNumbers scale={scale} />}
      {settling && <Ready ready={settling} record={state!.fitByRecord} now={now} zone={zone} form={form} />}
      {noTime && <NoTimeYet noTime={noTime} form={form} />}
      {form !== 'row' && (
        <p class={text.length > longText(settling !== null || noTime !== null) ? 'lane-why is-long' : 'lane-why'}>
          <span>{text}</span>
        </p>
      )}
    </li>
  )
}
