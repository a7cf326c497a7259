import { useMemo, useState } from 'preact/hooks'
import {
  formatDateTime,
  formatDifference,
  formatDuration,
  formatShare,
  notKnown,
  type Zone,
} from '../../core/format.js'
import { nameOf } from '../../core/names.js'
import { sayRefusal } from '../../core/sentences/index.js'
import type { Identification } from '../../core/settling/index.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { NodeIdentification, Series } from '../../server/http/schemas/answers.js'
import { useAddress, useAnswer } from '../answer.js'
import { asCsv, ask, machinePath, path, type Range } from '../api.js'
import { LineChart } from '../charts/line-chart.js'
import type { Line } from '../charts/time-chart.js'
import { CardTitle } from '../frame/card.js'
import { CsvLink } from '../frame/csv-link.js'
import { SelectField } from '../frame/fields.js'
import { Problem } from '../frame/problem.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { asLine, drawn, fitLine, interval, onIntervals } from './fit-course.js'

/** ms; identifications change daily */
const every = 300_000
/** least points for four days in ten minutes each */
const points = 600

const why = ({ inUse, newest }: NodeIdentification, zone: Zone): string => {
  if (!newest) return 'Configured: its history has not been looked at yet'
  if (inUse && inUse.id === newest.id) return `Identified from ${Math.round(inUse.hours)} h of history`
  const refused = newest.refusal && sayRefusal(newest.refusal, { system: units.value })
  if (inUse) return `Identified on ${formatDateTime(inUse.at, zone)}; since then ${refused}`
  return `Configured: ${refused ?? 'its sensors have changed since'}`
}

/** what fits can be drawn of: the one in use, or else one that was found but not accepted */
const drawable = ({ inUse, newest }: NodeIdentification): Identification | null =>
  inUse ?? (newest?.timeConstant != null ? newest : null)

const duration = (seconds: number | null): string => (seconds ? formatDuration(seconds) : notKnown)

/** what a node follows, and what would explain it better */
const followed = (machine: Machine, { node, newest }: NodeIdentification): string => {
  const follows = nameOf(machine.nodes, machine.nodes.find(n => n.id === node)?.follows ?? '')
  return newest && newest.advantage > 0 ? `${follows}; ${newest.bestAir} explains it better` : follows
}

const sensorsOf = (shop: Shop, machine: Machine, node: string): string[] =>
  shop.sensors
    .filter(s => s.unit !== 'state' && s.at.kind === 'node' && s.at.machine === machine.id && s.at.node === node)
    .map(s => s.id)

interface Props {
  shop: Shop
  machine: Machine
  zone: Zone
  now: number
}

/** How slowly each body follows its surroundings, where that is known from, and the fit drawn over the readings. */
export const Settling = ({ shop, machine, zone, now }: Props) => {
  const [chosen, setChosen] = useState<string | null>(null)
  const address = machinePath(machine.id, 'identifications')
  const { value, problem } = useAddress<{ nodes: NodeIdentification[] }>(address, every)
  const nodes = value?.nodes ?? []
  const able = nodes.filter(drawable)
  const shown = able.find(n => n.node === chosen) ?? able[0]
  return (
    <section class="panel" aria-labelledby="settling">
      <CardTitle id="settling" text="Settling" about="pages#settling">
        <p class="quiet">
          Time in which each part covers 63.2 % of a step of what it follows; identified daily from the last two weeks.{' '}
          <CsvLink href={asCsv(address)} name="identifications" />
        </p>
      </CardTitle>
      <Problem text={problem} />
      {value && nodes.length === 0 && <p class="empty">No node of this machine follows another.</p>}
      {nodes.length > 0 && (
        <Table
          caption="Time constants in use"
          rows={nodes}
          keyOf={({ node }) => node}
          columns={[
            { head: 'Node', names: true, cell: ({ node }) => nameOf(machine.nodes, node) },
            ['Time constant', ({ inUse, configured }) => duration(inUse?.timeConstant ?? configured.timeConstant)],
            ['Standard error', ({ inUse }) => formatShare(inUse?.standardError ?? null)],
            [
              'Uncertainty (k = 1)',
              ({ inUse, configured }) => formatShare(inUse?.uncertainty ?? configured.uncertainty),
            ],
            ['Configured', ({ configured }) => duration(configured.timeConstant)],
            { head: 'Follows', cell: entry => followed(machine, entry) },
            ['Usual excess', ({ inUse }) => formatDifference(inUse?.steadyExcess ?? null, units.value)],
            { head: 'From', form: 'note', cell: entry => why(entry, zone) },
            {
              head: 'Identified',
              form: 'nowrap',
              cell: ({ inUse }) => (inUse ? formatDateTime(inUse.at, zone) : notKnown),
            },
          ]}
        />
      )}
      {shown && (
        <>
          <SelectField
            class="field chart-pick"
            label="Computed course drawn over the readings of"
            value={shown.node}
            options={able.map(({ node }) => ({ value: node, text: nameOf(machine.nodes, node) }))}
            onChange={setChosen}
          />
          <FitChart key={shown.node} shop={shop} machine={machine} found={drawable(shown)!} zone={zone} now={now} />
        </>
      )}
    </section>
  )
}

interface FitProps extends Props {
  found: Identification
}

const FitChart = ({ shop, machine, found, zone, now }: FitProps) => {
  const own = useMemo(() => sensorsOf(shop, machine, found.node), [shop, machine, found.node])
  const air = useMemo(() => sensorsOf(shop, machine, found.follows), [shop, machine, found.follows])
  const ids = [...own, ...air]
  const address = (range: Range) => path('/api/series', { sensors: ids.join(','), ...range })
  const rangeNow = () => {
    const to = Math.ceil(now / interval) * interval
    return { from: to - drawn, to, points }
  }
  const { value, problem } = useAnswer(
    async signal => {
      const range = rangeNow()
      return { range, series: (await ask<{ series: Series[] }>(address(range), { signal })).series }
    },
    JSON.stringify([ids, found.id]),
    every,
  )
  const range = value?.range ?? rangeNow()
  const name = nameOf(machine.nodes, found.node)
  const lines = useMemo<Line[]>(() => {
    if (!value) return []
    const { from, to } = value.range
    const of = (wanted: readonly string[]) =>
      onIntervals(
        value.series.filter(s => wanted.includes(s.sensor)),
        from,
        to,
      )
    const [node, around] = [of(own), of(air)]
    const line = (id: string, text: string, style: number, values: Float64Array): Line => ({
      id,
      name: text,
      style,
      points: asLine(values, from),
      banded: false,
    })
    return [
      line('node', name, 0, node),
      line('fit', 'computed', 1, fitLine(node, around, found)),
      line('air', nameOf(machine.nodes, found.follows), 2, around),
    ]
  }, [value, own, air, found, machine, name])
  const wide = found.uncertainty === null ? '' : ` ± ${formatShare(found.uncertainty)}`
  return (
    <LineChart
      id="settling-fit"
      title={`${name}: ${formatDuration(found.timeConstant ?? 0)}${wide}${found.accepted ? '' : ', not used'}`}
      about={`Readings of ${name} and what it would read if it followed its surroundings alone`}
      hint="Where they part for long, the node’s own heat is at work."
      csv={asCsv(address(range))}
      problem={problem}
      empty={value && lines.every(l => l.points.every(p => Number.isNaN(p.value))) ? 'No readings in these days.' : ''}
      lines={lines}
      range={range}
      zone={zone}
      of="temperature"
    />
  )
}
