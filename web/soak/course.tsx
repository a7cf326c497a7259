import { useMemo } from 'preact/hooks'
import { formatDuration, formatGaugeError, formatMoment, gaugeScale, type Zone } from '../../core/format.js'
import type { PartSoak } from '../../core/soak/index.js'
import type { LinePoint } from '../charts/lines.js'
import { type Line, TimeChart } from '../charts/time-chart.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import '../charts/charts.css'

interface Props {
  soak: PartSoak
  /** s from the beginning; as they are told */
  told: PartSoak['ready']
  /** m */
  allowed: number
  /** ms; when the soak begins or began */
  since: number
  now: number
  zone: Zone
}

const pieces = 80

/** The remaining error from the beginning to after the latest time, as a picture and as numbers. */
export const SoakCourse = ({ soak, told, allowed, since, now, zone }: Props) => {
  const system = units.value
  const length = Math.max(soak.ready.latest * 1.15, 60)
  const lines = useMemo<Line[]>(() => {
    const points = Array.from({ length: pieces + 1 }, (_, i): LinePoint => {
      const after = (length * i) / pieces
      const { low, likely, high } = soak.remaining(after)
      return { at: since + after * 1000, value: likely, low, high }
    })
    return [{ id: 'remaining', name: 'Remaining error', style: 0, points, banded: true }]
  }, [soak, since, length])
  const marks = useMemo(() => {
    const side = soak.remaining(0).likely < 0 ? -1 : 1
    return {
      level: { at: side * allowed, text: `allowed ${formatGaugeError(allowed, system)}` },
      moments: [{ at: since + soak.ready.likely * 1000, text: 'likely' }],
    }
  }, [soak, since, allowed, system])
  const rows = [
    { what: 'At first', after: 0 },
    { what: 'Earliest', after: told.earliest },
    { what: 'Likely', after: told.likely },
    { what: 'Latest', after: told.latest },
  ]
  const written = (error: number) => formatGaugeError(error, system, 'signed')
  return (
    <>
      <TimeChart
        label="Remaining error of the length over time; its values are in the table below"
        lines={lines}
        marks={marks}
        from={since}
        to={since + length * 1000}
        zone={zone}
        scale={gaugeScale[system]}
        decimals={1}
      />
      <Table
        caption="Remaining error over time"
        rows={rows}
        keyOf={({ what }) => what}
        columns={[
          { head: 'When', names: true, cell: ({ what }) => what },
          { head: 'At', form: 'nowrap', cell: ({ after }) => formatMoment(since + after * 1000, now, zone) },
          { head: 'After', form: 'nowrap', cell: ({ after }) => formatDuration(after) },
          ['Remaining error, likely', ({ after }) => written(soak.remaining(after).likely)],
          {
            head: 'and between',
            form: 'nowrap',
            cell: ({ after }) => {
              const { low, high } = soak.remaining(after)
              return `${written(low)} and ${written(high)}`
            },
          },
        ]}
      />
    </>
  )
}
