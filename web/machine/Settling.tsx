import { useMemo, useState } from 'preact/hooks'
import {
  formatDateTime,
  formatDifference,
  formatDuration,
  formatShare,
  formatTemperature,
  notKnown,
  temperatureScale,
  type UnitSystem,
} from '../../core/format.js'
import type { Identification } from '../../core/settling/index.js'
import type { Machine, Shop } from '../../core/shop.js'
import { useAnswer } from '../answer.js'
import { fetchIdentifications, fetchSeries, identificationsPath, type NodeIdentification, seriesPath } from '../api.js'
import { Scrolls } from '../frame/Scrolls.js'
import { asLine, drawn, fitLine, interval, onIntervals } from './fitCourse.js'
import { LineChart } from './LineChart.js'
import type { Line } from './TimeChart.js'

/** ms; identifications change daily */
const every = 300_000
/** least points for four days in ten minutes each */
const points = 600

const nameOf = (machine: Machine, node: string): string => machine.nodes.find(n => n.id === node)?.name ?? node

const why = ({ inUse, newest }: NodeIdentification, zone: string): string => {
  if (!newest) return 'Configured: its history has not been looked at yet'
  if (inUse && inUse.id === newest.id) return `Identified from ${Math.round(inUse.hours)} h of history`
  if (inUse) return `Identified on ${formatDateTime(inUse.at, zone)}; since then ${newest.refusal}`
  return `Configured: ${newest.refusal || 'its sensors have changed since'}`
}

/** what fits can be drawn of: the one in use, or else one that was found but not accepted */
const drawable = ({ inUse, newest }: NodeIdentification): Identification | null =>
  inUse ?? (newest?.timeConstant != null ? newest : null)

const sensorsOf = (shop: Shop, machine: Machine, node: string): string[] =>
  shop.sensors
    .filter(s => s.unit !== 'state' && s.at.kind === 'node' && s.at.machine === machine.id && s.at.node === node)
    .map(s => s.id)

interface Props {
  shop: Shop
  machine: Machine
  system: UnitSystem
  zone: string
  now: number
}

/** How slowly each body follows its surroundings, where that is known from, and the fit drawn over the readings. */
export const Settling = ({ shop, machine, system, zone, now }: Props) => {
  const [chosen, setChosen] = useState<string | null>(null)
  const { value, problem } = useAnswer(signal => fetchIdentifications(machine.id, signal), machine.id, every)
  const nodes = value?.nodes ?? []
  const able = nodes.filter(drawable)
  const shown = able.find(n => n.node === chosen) ?? able[0]
  return (
    <section class="panel" aria-labelledby="settling">
      <div class="panel-head">
        <h2 id="settling">Settling</h2>
        <p class="quiet">
          Time in which each part covers 63.2 % of a step of what it follows; identified daily from the last two weeks.{' '}
          <a href={identificationsPath(machine.id, 'csv')} download="identifications.csv">
            CSV
          </a>
        </p>
      </div>
      {problem && (
        <p class="problem" role="alert">
          {problem}
        </p>
      )}
      {value && nodes.length === 0 && <p class="empty">No node of this machine follows another.</p>}
      {nodes.length > 0 && (
        <Scrolls label="Time constants">
          <table class="table">
            <caption class="hidden">Time constants in use</caption>
            <thead>
              <tr>
                <th scope="col">Node</th>
                <th scope="col" class="number">
                  Time constant
                </th>
                <th scope="col" class="number">
                  Standard error
                </th>
                <th scope="col" class="number">
                  Uncertainty (k = 1)
                </th>
                <th scope="col" class="number">
                  Configured
                </th>
                <th scope="col">Follows</th>
                <th scope="col" class="number">
                  Usual excess
                </th>
                <th scope="col">From</th>
                <th scope="col">Identified</th>
              </tr>
            </thead>
            <tbody>
              {nodes.map(entry => {
                const { node, configured, inUse, newest } = entry
                const timeConstant = inUse?.timeConstant ?? configured.timeConstant
                const follows = nameOf(machine, machine.nodes.find(n => n.id === node)?.follows ?? '')
                const better = newest && newest.advantage > 0 ? `; ${newest.bestAir} explains it better` : ''
                return (
                  <tr key={node}>
                    <th scope="row">{nameOf(machine, node)}</th>
                    <td class="number">{timeConstant ? formatDuration(timeConstant) : notKnown}</td>
                    <td class="number">{formatShare(inUse?.standardError ?? null)}</td>
                    <td class="number">{formatShare(inUse?.uncertainty ?? configured.uncertainty)}</td>
                    <td class="number">
                      {configured.timeConstant ? formatDuration(configured.timeConstant) : notKnown}
                    </td>
                    <td>{follows + better}</td>
                    <td class="number">{formatDifference(inUse?.steadyExcess ?? null, system)}</td>
                    <td>{why(entry, zone)}</td>
                    <td class="nowrap">{inUse ? formatDateTime(inUse.at, zone) : notKnown}</td>
                  </tr>
                )
              })}
            </tbody>
          </table>
        </Scrolls>
      )}
      {shown && (
        <>
          <label class="field machine-pick">
            <span>Fit drawn over the readings of</span>
            <select value={shown.node} onChange={event => setChosen(event.currentTarget.value)}>
              {able.map(({ node }) => (
                <option key={node} value={node} selected={node === shown.node}>
                  {nameOf(machine, node)}
                </option>
              ))}
            </select>
          </label>
          <FitChart
            key={shown.node}
            shop={shop}
            machine={machine}
            found={drawable(shown)!}
            system={system}
            zone={zone}
            now={now}
          />
        </>
      )}
    </section>
  )
}

interface FitProps extends Props {
  found: Identification
}

const FitChart = ({ shop, machine, found, system, zone, now }: FitProps) => {
  const own = useMemo(() => sensorsOf(shop, machine, found.node), [shop, machine, found.node])
  const air = useMemo(() => sensorsOf(shop, machine, found.follows), [shop, machine, found.follows])
  const ids = [...own, ...air]
  const rangeNow = () => {
    const to = Math.ceil(now / interval) * interval
    return { from: to - drawn, to, points }
  }
  const { value, problem } = useAnswer(
    async signal => {
      const range = rangeNow()
      return { range, series: (await fetchSeries(ids, range, signal)).series }
    },
    JSON.stringify([ids, found.id]),
    every,
  )
  const range = value?.range ?? rangeNow()
  const name = nameOf(machine, found.node)
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
      line('fit', 'if it followed alone', 1, fitLine(node, around, found)),
      line('air', nameOf(machine, found.follows), 2, around),
    ]
  }, [value, own, air, found, machine, name])
  const marks = useMemo(() => ({ level: null, moments: [] }), [])
  const wide = found.uncertainty === null ? '' : ` ± ${formatShare(found.uncertainty)}`
  return (
    <LineChart
      id="settling-fit"
      title={`${name}: ${formatDuration(found.timeConstant ?? 0)}${wide}${found.accepted ? '' : ', not used'}`}
      about={`Readings of ${name} and what it would read if it followed its surroundings alone`}
      hint="Where they part for long, the node’s own heat is at work."
      csv={seriesPath(ids, range, 'csv')}
      problem={problem}
      empty={value && lines.every(l => l.points.every(p => Number.isNaN(p.value))) ? 'No readings in these days.' : ''}
      lines={lines}
      marks={marks}
      range={range}
      zone={zone}
      scale={temperatureScale[system]}
      system={system}
      format={formatTemperature}
    />
  )
}
