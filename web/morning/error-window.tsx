import { formatGrowth, notKnown, type UnitSystem } from '../../core/format.js'
import type { JobError } from '../../core/morning/index.js'
import { type Position, positionOn, type WindowScale, wallScale } from '../charts/scale.js'
import { units } from '../preferences.js'
import { unbroken } from '../words.js'

/** the drawing's own units across */
const wide = 240

const scaleOf = ({ tolerance, granted }: JobError): WindowScale => ({
  half: tolerance / 2,
  grant: granted,
  reach: (tolerance / 2) * 1.2,
})

const isOutside = ({ error, uncertainty, granted }: JobError): boolean =>
  Math.abs(error) + uncertainty > granted * 1.001

const x = ({ at }: Position): string => (6 + at * (wide - 12)).toFixed(1)

interface MarkProps {
  scale: WindowScale
  of: JobError
  y: number
  form: 'planned' | 'advised'
}

const Mark = ({ scale, of: { error, uncertainty }, y, form }: MarkProps) => {
  const [low, at, high] = [error - uncertainty, error, error + uncertainty].map(length =>
    positionOn(scale, length),
  ) as [Position, Position, Position]
  const cap = (end: Position) =>
    end.beyond === 0
      ? `M${x(end)} ${y - 9}V${y + 9}`
      : `M${Number(x(end)) - 6 * end.beyond} ${y - 10}L${x(end)} ${y}L${Number(x(end)) - 6 * end.beyond} ${y + 10}`
  return (
    <g class={`error-mark is-${form}`}>
      <path class="error-spread" d={`M${x(low)} ${y}H${x(high)}${cap(low)}${cap(high)}`} />
      {at.beyond !== 0 && <path class="error-beyond" d={cap(at)} />}
      {at.beyond === 0 && form === 'planned' && <path class="error-at" d={`M${x(at)} ${y - 14}V${y + 14}`} />}
    </g>
  )
}

interface Props {
  planned: JobError | null
  /** as advised, where that is another error than as planned */
  advised: JobError | null
  reads: string
}

/** The error of a job in its tolerance, every job's tolerance drawn equally wide: as planned, and as advised. */
export const ErrorWindow = ({ planned, advised, reads }: Props) => {
  const any = planned ?? advised
  const scale: WindowScale = any ? scaleOf(any) : { half: 1, grant: 0, reach: 1.2 }
  const at = (length: number) => Number(x(positionOn(scale, length)))
  const [yPlanned, yAdvised] = planned && advised ? [32, 70] : [50, 50]
  return (
    <div class={`error-window reads-${reads}`}>
      <svg viewBox={`0 0 ${wide} 100`} preserveAspectRatio="none" aria-hidden="true">
        {any && (
          <rect class="grant" x={at(-scale.grant)} width={at(scale.grant) - at(-scale.grant)} y="0" height="100" />
        )}
        <path class="error-frame" d={`M${at(-scale.half)} 0V100M${at(scale.half)} 0V100M${at(0)} 0V100`} />
        {!any && <path class="error-unknown" d={`M${at(-scale.half)} 50H${at(scale.half)}`} />}
        {planned && (
          <g class={isOutside(planned) ? 'axis-row is-outside' : 'axis-row'}>
            <Mark scale={scale} of={planned} y={yPlanned} form="planned" />
          </g>
        )}
        {advised && <Mark scale={scaleOf(advised)} of={advised} y={yAdvised} form="advised" />}
      </svg>
      {advised && (
        <i
          class="error-ring"
          style={{ left: `${(100 * at(advised.error)) / wide}%`, top: `${yAdvised}%` }}
          aria-hidden="true"
        />
      )}
    </div>
  )
}

const digits = (length: number, system: UnitSystem, sign: 'signed' | 'plain') =>
  formatGrowth(length, system, sign)
    .replace(` ${wallScale[system].unit}`, '')
    .replace(/ (?:µm|in|tenths)$/, '')

/** "X −7.1 ± 2.6 µm", then what heat may take. */
export const ErrorNumbers = ({ planned, advised }: Omit<Props, 'reads'>) => {
  const system = units.value
  const shown = planned ?? advised
  if (!shown) return <b class="quiet">{notKnown}</b>
  const { axis, error, uncertainty, granted } = shown
  return (
    <>
      <b>{unbroken(`${axis} ${digits(error, system, 'signed')} ± ${formatGrowth(uncertainty, system, 'plain')}`)}</b>
      {planned && advised && (
        <small>
          then{' '}
          {unbroken(
            `${digits(advised.error, system, 'signed')} ± ${formatGrowth(advised.uncertainty, system, 'plain')}`,
          )}
        </small>
      )}
      <small>of {unbroken(formatGrowth(granted, system, 'plain'))} allowed</small>
    </>
  )
}
