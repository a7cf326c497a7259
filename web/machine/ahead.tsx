import { useMemo } from 'preact/hooks'
import { formatMoment, formatTemperature, notKnown } from '../../core/format.js'
import { nameOf } from '../../core/names.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { SourcesAhead } from '../../core/shop-model/index.js'
import type { Forecast, ForecastBand } from '../../core/state.js'
import { query, setQuery } from '../address.js'
import { useAddress } from '../answer.js'
import { asCsv, machinePath } from '../api.js'
import { LineChart } from '../charts/line-chart.js'
import type { LinePoint } from '../charts/lines.js'
import type { Line } from '../charts/time-chart.js'
import { CardTitle } from '../frame/card.js'
import { Problem } from '../frame/problem.js'
import { Choice } from '../frame/switches.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { atTheWork } from '../words.js'
import { readPlan, writePlan } from './plan.js'
import { PlanForm } from './plan-form.js'
import { SourcesCard } from './sources-ahead.js'

/** factor on a standard uncertainty for a 90 % interval of a normal distribution */
const ninety = 1.645

const lengths = [
  { value: '8', text: '8 h' },
  { value: '24', text: '24 h' },
  { value: '72', text: '72 h' },
] as const

const bandLine = (times: readonly number[], { mean, standardUncertainty }: ForecastBand): LinePoint[] =>
  times.map((at, i) => {
    const value = mean[i]!
    const half = ninety * standardUncertainty[i]!
    return { at, value, low: value - half, high: value + half }
  })

interface Props {
  shop: Shop
  machine: Machine
  now: number
}

const ReadyTable = ({ shop, forecast, now }: { shop: Shop; forecast: Forecast; now: number }) => {
  const at = (moment: number) => formatMoment(moment, now, shop)
  return (
    <>
      <Table
        caption="When each kind of work could start"
        rows={forecast.classes}
        keyOf={({ workClass }) => workClass}
        columns={[
          { head: 'Work class', names: true, cell: of => shop.workClasses.find(c => c.id === of.workClass)?.name },
          {
            head: 'Fit by',
            cell: ({ ready }) => <strong>{ready ? at(ready.latest) : 'no time within 72 h can be named'}</strong>,
          },
          { head: 'Error within the share, likely from', cell: ({ ready }) => (ready ? at(ready.likely) : notKnown) },
          { head: 'At the earliest from', cell: ({ ready }) => (ready ? at(ready.earliest) : notKnown) },
        ]}
      />
      <p class="quiet">
        The error itself may be within the share before “fit by”, but until then it is not known well enough, or has not
        stayed so for long enough.
      </p>
    </>
  )
}

/** Where the machine will be: temperatures, growth and ready times ahead, if conditions hold or under a plan. */
export const Ahead = ({ shop, machine, now }: Props) => {
  const asked = query.value.get('ahead') ?? '24'
  const hours = lengths.some(l => l.value === asked) ? asked : '24'
  const planText = query.value.get('plan')
  const plan = useMemo(() => readPlan(planText), [planText])
  const address = machinePath(machine.id, 'forecast', { hours, points: 200, plan: writePlan(plan) })
  const { value, problem } = useAddress<Forecast>(address, 60_000)
  const sources = useAddress<SourcesAhead>(machinePath(machine.id, 'sources-ahead'), 600_000)
  const system = units.value
  const range = { from: value?.times[0] ?? now, to: value?.times.at(-1) ?? now + Number(hours) * 3_600_000 }
  const temperatures = useMemo<Line[]>(
    () =>
      value?.nodes.map((band, style) => ({
        id: band.node,
        name: nameOf(machine.nodes, band.node),
        style,
        points: bandLine(value.times, band),
        banded: false,
      })) ?? [],
    [value, machine],
  )
  const growth = useMemo<Line[]>(
    () =>
      value?.axes.map((band, style) => ({
        id: band.axis,
        name: atTheWork(machine, band.axis),
        style,
        points: bandLine(value.times, band),
        banded: true,
      })) ?? [],
    [value, machine],
  )
  const moments = useMemo(() => plan.map(({ at }) => ({ at, text: 'plan' })), [plan])
  const common = { range, zone: shop.timeZone, csv: asCsv(address) }
  return (
    <>
      <section class="panel" aria-labelledby="ahead">
        <CardTitle id="ahead" text="Ahead" about="pages#ahead">
          <Choice
            legend="How far ahead"
            value={hours}
            options={lengths}
            onChange={length => setQuery({ ahead: length })}
          />
        </CardTitle>
        <p class="quiet">
          {plan.length === 0
            ? 'If conditions hold: doors, vents, heat sources and the machine go on as they usually do from here. Say what is planned, such as a door that is shut or the heating that comes back, to see what it does.'
            : plan.some(change => 'source' in change)
              ? 'Under the plan below, by what was learned of how the air here answers: before and besides it doors stay as they are, and the heating keeps its hours.'
              : 'Under the plan below; the air takes about half an hour to follow each change.'}
        </p>
        <PlanForm plan={plan} now={now} shop={shop} sources={sources.value} />
        <Problem text={problem} />
        {value && (
          <>
            <ReadyTable shop={shop} forecast={value} now={now} />
            <LineChart
              {...common}
              id="growth-ahead"
              title="Growth ahead"
              about={`Growth of the axes of ${machine.name} ahead`}
              hint={`At the work, against ${formatTemperature(shop.referenceTemperature, system, 0)}. Bands are 90 % intervals.`}
              lines={growth}
              marks={{ level: { at: 0, text: 'no growth', named: 'end' }, moments }}
              of="growth"
            />
            <LineChart
              {...common}
              id="temperatures-ahead"
              title="Temperatures ahead"
              about={`Temperatures of ${machine.name} ahead`}
              lines={temperatures}
              marks={{
                level: {
                  at: shop.referenceTemperature,
                  text: formatTemperature(shop.referenceTemperature, system, 0),
                  named: 'end',
                },
                moments,
              }}
              of="temperature"
            />
          </>
        )}
      </section>
      <SourcesCard value={sources.value} problem={sources.problem} shop={shop} />
    </>
  )
}
