import { useState } from 'preact/hooks'
import { formatGrowth, formatTemperature, temperatureScale } from '../../core/format.js'
import type { WhatIfAnswer, WhatIfCase } from '../../core/investigation/index.js'
import { rejectsOtherwise } from '../../core/investigation/without.js'
import { sayChange } from '../../core/sentences/index.js'
import type { SourcesAnswer, WhatIfAnswer as WithoutAnswer } from '../../core/shop-model/index.js'
import { clockOf } from '../../core/written-time.js'
import { useAddress, useAnswer } from '../answer.js'
import { ask, machinePath } from '../api.js'
import { toSi } from '../charts/drawing.js'
import { CardTitle } from '../frame/card.js'
import { CsvDownload } from '../frame/csv-download.js'
import { fieldClock } from '../frame/field-moment.js'
import { SelectField } from '../frame/fields.js'
import { ClockField } from '../frame/moment-field.js'
import { Problem } from '../frame/problem.js'
import { Choice } from '../frame/switches.js'
import { Table } from '../frame/table.js'
import { counted, unbroken } from '../words.js'
import { type Asked, type Otherwise, whatIfPath } from './answers.js'
import type { Investigated } from './parts.js'
import { causeName } from './sources.js'

interface Props extends Investigated {
  asked: Asked
}

interface Row {
  what: string
  rejects: { value: number; low: number | null; high: number | null }
  mean: number | null
  spread: number | null
  remark: string
}

const mean = (values: readonly number[]) => values.reduce((sum, each) => sum + each, 0) / values.length
const spread = (values: readonly number[]) => Math.sqrt(mean(values.map(each => (each - mean(values)) ** 2)))

/** the doors, vents and heat sources that did something that can be told, the largest first */
const changeable = (sources: SourcesAnswer | null) =>
  sources?.causes
    .filter(
      ({ kind, knownBy }) => (kind === 'door' || kind === 'vent' || kind === 'heat source') && knownBy !== 'not at all',
    )
    .sort((a, b) => Math.abs(b.growth.share.likely) - Math.abs(a.growth.share.likely))
    .slice(0, 3) ?? []

/** Rejects had a source stayed shut or off, one after the other. */
const useWithout = ({ answer, group, parts, sources }: Props) => {
  const datums = answer.datums.filter(each => each.machine === group.machine).map(({ at }) => at)
  const causes = changeable(sources)
  const moments = parts.flatMap(({ from, to }) => [from, to])
  // what was so when the zero was taken counts too
  const begin = Math.min(...moments, ...datums.filter(at => at <= Math.min(...moments)).slice(-1))
  const to = Math.max(...moments) + 1
  return useAnswer(
    async signal => {
      const found: Row[] = []
      for (const cause of causes) {
        const { axes, cannotBeTold, alsoMeans, isRough } = await ask<WithoutAnswer>(
          machinePath(group.machine, 'what-if', { from: Math.floor(begin), to: Math.ceil(to), shut: cause.id }),
          { signal },
        )
        const course = axes.find(({ axis }) => axis === group.axis)
        const what = `${causeName(cause).replace(/^the /, '')} kept ${cause.kind === 'heat source' ? 'off' : 'shut'}`
        if (!course || isRough) {
          found.push({
            what,
            rejects: { value: Number.NaN, low: null, high: null },
            mean: null,
            spread: null,
            remark: cannotBeTold ?? 'cannot be told: the air does not show enough of what it does',
          })
          continue
        }
        const { rejects } = rejectsOtherwise(parts, course, group, group.cut, group.zeroed === 'each part', datums)
        const also = alsoMeans.length > 0 ? 'it moved together with other sources: the effect may be theirs' : ''
        found.push({ what, rejects, mean: null, spread: null, remark: also || 'of its drift; the offset stays' })
      }
      return found
    },
    JSON.stringify([group.part, group.feature, group.machine, causes.map(({ id }) => id), begin, to]),
  )
}

/** What the same parts would have been like, had something been otherwise. */
export const WhatIfCard = (props: Props) => {
  const { asked, group, parts, shop, reader } = props
  const { system } = reader
  const [offset, setOffset] = useState<'kept' | 'centred'>('kept')
  const [hold, setHold] = useState(shop.referenceTemperature)
  const [datum, setDatum] = useState('12:30')
  const [written, setWritten] = useState(fieldClock(12.5, shop))
  const [on, setOn] = useState('')
  const [later, setLater] = useState(2)
  const otherwise: Otherwise = { hold, datum, later, ...(on && { on }) }
  const { value, problem } = useAddress<WhatIfAnswer>(whatIfPath(asked, group, otherwise))
  const without = useWithout(props)
  const cases = value?.groups.find(each => each.feature === group.feature)?.cases ?? []
  const deviations = parts.map(({ deviation }) => deviation)
  const rowOf = ({ change, offsetKept, centred, parts: told }: WhatIfCase): Row => {
    const outcome = offset === 'kept' ? offsetKept : centred
    return {
      what: sayChange(change, shop, reader),
      rejects: outcome.rejects,
      mean: outcome.mean,
      spread: outcome.spread,
      remark: told < parts.length ? `of ${counted(told, 'part')} that can be told` : '',
    }
  }
  const rows: Row[] = [
    {
      what: 'as it was',
      rejects: { value: group.rejects, low: null, high: null },
      mean: deviations.length > 0 ? mean(deviations) : null,
      spread: deviations.length > 0 ? spread(deviations) : null,
      remark: 'counted',
    },
    ...(offset === 'kept' ? (without.value ?? []) : []),
    ...cases.map(rowOf),
  ]
  const waits = (!value && !problem) || (props.sources !== null && !without.value && !without.problem)
  const heat = group.finding.conclusion === 'most' || group.finding.conclusion === 'part'
  const others = shop.machines.filter(({ id }) => id !== group.machine)
  const most = Math.max(1, ...rows.map(({ rejects }) => rejects.high ?? rejects.value).filter(Number.isFinite))
  return (
    <section class="panel" aria-labelledby="what-if">
      <CardTitle id="what-if" text="What if" about="was-it-heat#what-if">
        <CsvDownload
          name="what-if"
          about="What if as CSV"
          columns={['case', 'rejects', 'low', 'high', 'meanMetres', 'standardDeviationMetres', 'offset']}
          rows={() =>
            rows.map(row => [
              row.what,
              row.rejects.value,
              row.rejects.low,
              row.rejects.high,
              row.mean,
              row.spread,
              offset,
            ])
          }
        />
      </CardTitle>
      {!heat && (
        <p>
          <strong>The conclusion does not say that heat made these parts.</strong> What follows assumes that the
          prediction is right all the same.
        </p>
      )}
      <div class="fields is-near what-if-choices screen-only">
        <Choice
          legend="The offset"
          value={offset}
          options={[
            { value: 'kept', text: 'Offset as it was set' },
            { value: 'centred', text: 'Parts centred again' },
          ]}
          onChange={setOffset}
        />
        <label class="field">
          <span>Held at ({temperatureScale[system].unit})</span>
          <input
            type="number"
            step="any"
            min={Math.round(temperatureScale[system].of(-30))}
            max={Math.round(temperatureScale[system].of(60))}
            value={Math.round(10 * temperatureScale[system].of(hold)) / 10}
            onChange={({ currentTarget: field }) =>
              field.reportValidity() && setHold(toSi(temperatureScale[system], Number(field.value)))
            }
          />
        </label>
        <ClockField
          label="Zeroed again each day at"
          zone={shop}
          value={written}
          onChange={setWritten}
          onDone={text => setDatum(clockOf(text) ?? datum)}
        />
        <label class="field">
          <span>Cut later by (h; below 0: earlier)</span>
          <input
            type="number"
            step="0.5"
            min={-48}
            max={48}
            value={later}
            onChange={event => setLater(Number(event.currentTarget.value))}
          />
        </label>
        <SelectField
          label="On another machine"
          value={on}
          options={[{ value: '', text: '—' }, ...others]}
          onChange={setOn}
        />
      </div>
      <Problem text={problem || without.problem} />
      <Table
        caption="Rejects that would remain"
        rows={rows}
        keyOf={({ what }, i) => `${what} ${i}`}
        columns={[
          { head: 'The same parts', names: true, cell: ({ what }) => unbroken(what) },
          {
            head: `Rejects of ${group.inspections}`,
            form: 'nowrap',
            cell: ({ rejects: { value: n, low, high } }) =>
              Number.isFinite(n) ? (
                <>
                  <strong>{Math.round(n)}</strong>
                  {low !== null && high !== null && (
                    <span class="quiet">
                      {' '}
                      {Math.round(low)} to {Math.round(high)}
                    </span>
                  )}
                </>
              ) : (
                'cannot be told'
              ),
          },
          {
            head: 'Picture',
            plain: 'always',
            cell: ({ rejects: { value: n, low, high } }) =>
              Number.isFinite(n) && (
                <svg class="what-if-bar" viewBox="0 0 100 12" preserveAspectRatio="none" aria-hidden="true">
                  <rect class="cause-share" width={(100 * n) / most} y="2" height="8" />
                  {low !== null && high !== null && (
                    <path class="cause-interval" d={`M${(100 * low) / most} 6H${(100 * high) / most}`} />
                  )}
                </svg>
              ),
          },
          ['Mean', row => unbroken(formatGrowth(row.mean, system))],
          ['Scatter', row => unbroken(formatGrowth(row.spread, system, 'plain'))],
          { head: 'Note', form: 'note', cell: ({ remark }) => remark },
        ]}
      />
      {waits && (
        <p class="quiet" role="status" aria-busy="true">
          Computing what the same parts would have been …
        </p>
      )}
      <p class="quiet">
        {offset === 'kept'
          ? 'The offset stays as it was set then.'
          : 'The parts are centred between their limits again in each case; what a source did is shown for the offset as it was.'}{' '}
        Intervals are 90 %. Held at {formatTemperature(hold, system)} means machine, part and datum alike.
      </p>
    </section>
  )
}
