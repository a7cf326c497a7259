import type { Excursion } from '../../core/environment/index.js'
import {
  formatDateTime,
  formatDifference,
  formatDuration,
  formatGradient,
  formatHours,
  formatRate,
  formatStretch,
  formatTemperature,
  type UnitSystem,
  type Zone,
} from '../../core/format.js'
import type { EnvironmentLimits } from '../../core/shop.js'
import type { RecordAnswer } from '../../server/http/schemas/records.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'

type Kind = Excursion['limit']

const kindWords: Record<Kind, string> = {
  band: 'Band',
  rate: 'Rate',
  swing: 'Swing in 24 h',
  gradient: 'Gradient',
}

/** An amount as its limit counts it: "21.42 °C", "−0.62 K/h". */
const amount = (kind: Kind, value: number, system: UnitSystem): string => {
  if (kind === 'band') return formatTemperature(value, system, 2)
  if (kind === 'rate') return formatRate(value, system, 'signed', 2)
  return kind === 'swing' ? formatDifference(value, system, 'plain', 2) : formatGradient(value, system)
}

/** How far beyond its limit: "0.42 K", "0.12 K/h". */
const beyond = (kind: Kind, value: number, system: UnitSystem): string => {
  if (kind === 'rate') return formatRate(value, system, 'plain', 2)
  return kind === 'gradient' ? formatGradient(value, system) : formatDifference(value, system, 'plain', 2)
}

/** The stated limits in words, each with its kind. */
export const limitsInWords = (limits: EnvironmentLimits, system: UnitSystem): { kind: Kind; words: string }[] => {
  const all: { kind: Kind; words: string }[] = []
  if (limits.band) {
    const { lowest, highest } = limits.band
    all.push({ kind: 'band', words: `${formatTemperature(lowest, system)} to ${formatTemperature(highest, system)}` })
  }
  if (limits.rate !== undefined) all.push({ kind: 'rate', words: formatRate(limits.rate, system, 'plain', 2) })
  if (limits.swing !== undefined) all.push({ kind: 'swing', words: formatDifference(limits.swing, system, 'plain', 2) })
  if (limits.gradient !== undefined) all.push({ kind: 'gradient', words: formatGradient(limits.gradient, system) })
  return all
}

interface Props {
  answer: RecordAnswer
  zone: Zone
}

/** Each stated limit, and how long it was kept. */
export const LimitsTable = ({ answer: { limits, kept } }: Omit<Props, 'zone'>) => {
  if (!limits)
    return (
      <p>
        The shop file states no limits for it, so none are judged. Limits come from the machine’s builder or from the
        shop; this service assumes none.
      </p>
    )
  const of = (kind: Kind) => kept?.limits.find(each => each.limit === kind)
  const hours = (kind: Kind, how: 'outside' | 'within' | 'notKnown') => {
    const found = of(kind)
    return found ? formatHours(found[how] / 1000) : 'cannot be told'
  }
  return (
    <>
      <Table
        caption="Limits, and how long each was kept"
        rows={limitsInWords(limits, units.value)}
        keyOf={({ kind }) => kind}
        columns={[
          { head: 'Limit', names: true, cell: ({ kind }) => kindWords[kind] },
          { head: 'Stated', form: 'nowrap', cell: ({ words }) => words },
          ['Outside', ({ kind }) => <strong>{hours(kind, 'outside')}</strong>],
          ['Within', ({ kind }) => hours(kind, 'within')],
          ['Not known', ({ kind }) => hours(kind, 'notKnown')],
          ['Excursions', ({ kind }) => kept?.excursions.filter(each => each.limit === kind).length ?? 0],
        ]}
      />
      {!kept && <p>No sensor is held against these limits: the shop file gives it no sensor of its air.</p>}
      {kept?.withoutPositions && (
        <p>
          The gradient cannot be told and is left out: fewer than two of the sensors have a <code>position</code> in the
          shop file.
        </p>
      )}
    </>
  )
}

/** rows on a screen before all are asked for; on paper there are all */
const few = 12

export const ExcursionsTable = ({ answer: { kept, sensors }, zone, whole }: Props & { whole: boolean }) => {
  const system = units.value
  const names = new Map(sensors.map(({ sensor, name }) => [sensor, name]))
  return (
    <Table
      caption="Every excursion, in order of time"
      rows={kept?.excursions ?? []}
      keyOf={({ limit, from }) => `${limit} ${from}`}
      classOf={each => (!whole && (kept?.excursions.indexOf(each) ?? 0) >= few ? 'on-paper' : '')}
      columns={[
        { head: 'From – to', cell: ({ from, to }) => formatStretch(from, to, zone) },
        { head: 'Limit', plain: 'on a card', cell: ({ limit }) => kindWords[limit] },
        ['Lasted', ({ from, to }) => formatDuration((to - from) / 1000)],
        [
          'Worst',
          ({ limit, worst, worstAt }) => (
            <span title={formatDateTime(worstAt, zone)}>{amount(limit, worst, system)}</span>
          ),
        ],
        ['Beyond', each => beyond(each.limit, each.beyond, system)],
        {
          head: 'Sensor',
          plain: 'on a card',
          cell: ({ sensors: ids }) => ids.map(id => names.get(id) ?? id).join(' and '),
        },
      ]}
    />
  )
}
export const fewExcursions = few
