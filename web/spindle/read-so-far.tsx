import { useMemo } from 'preact/hooks'
import { formatClock, formatSpeed, growthScale, type Zone } from '../../core/format.js'
import type { RunReading, runState, SpindleRun } from '../../core/spindle/index.js'
import type { Line } from '../charts/time-chart.js'
import { XyChart } from '../charts/xy-chart.js'
import { Button } from '../frame/button.js'
import { Card } from '../frame/card.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { minutesAcross } from './charts.js'
import { readingScale, readingText } from './value-entry.js'

const noLines: readonly Line[] = []

interface Props {
  run: SpindleRun
  state: ReturnType<typeof runState>
  zone: Zone
  onCorrect: (reading: RunReading) => void
}

/** What was read in a test that goes on: a chart, and a table in which it can be corrected. */
export const ReadSoFar = ({ run, state: { readings, begun }, zone, onCorrect }: Props) => {
  const { plan } = run
  const scale = readingScale(plan, units.value)
  return (
    <Card id="spindle-read" text="Read so far" about="spindle#while-it-runs">
      <SoFar run={run} readings={readings} begun={begun} />
      <Table
        caption="Readings, newest first"
        rows={[...readings].reverse()}
        keyOf={({ key }) => key}
        columns={[
          { head: 'At', form: 'nowrap', names: true, cell: ({ at }) => formatClock(at, zone) },
          {
            head: 'Speed',
            form: 'nowrap',
            cell: ({ step }) => (step === null ? 'before it turned' : formatSpeed(plan.steps[step]!.speed)),
          },
          [
            'Read',
            ({ value, corrected }) =>
              value === null ? 'left out' : `${readingText(value, scale)}${corrected ? ', corrected' : ''}`,
          ],
          {
            head: 'Correct',
            form: 'number',
            plain: 'always',
            cell: reading => (
              <Button
                aria-label={`Correct ${reading.value === null ? 'what was left out' : readingText(reading.value, scale)} of ${formatClock(reading.at, zone)}`}
                onClick={() => onCorrect(reading)}
              >
                Correct …
              </Button>
            ),
          },
        ]}
      />
    </Card>
  )
}

/** What was read since the first reading, over the minutes of the test. */
const SoFar = ({
  run: { plan },
  readings,
  begun,
}: {
  run: SpindleRun
  readings: readonly RunReading[]
  begun: readonly { step: number; at: number }[]
}) => {
  const system = units.value
  const counted = readings.flatMap(({ at, value }) => (value === null ? [] : [{ at, value }]))
  const zero = counted[0]?.value ?? 0
  const start = begun[0]?.at ?? counted[0]?.at ?? 0
  const end = counted.at(-1)?.at ?? start
  const dots = useMemo(
    () => [
      {
        name: 'Read',
        style: 0,
        crossed: false,
        points: counted.map(({ at, value }) => ({
          at: Math.max(0, (at - start) / 1000),
          value: plan.sign * (value - zero),
        })),
      },
    ],
    [JSON.stringify(counted), start],
  )
  const marks = useMemo(
    () => ({
      level: null,
      moments: begun.map(({ step, at }) => ({ at: (at - start) / 1000, text: formatSpeed(plan.steps[step]!.speed) })),
    }),
    [begun, start],
  )
  if (counted.length < 2) return null
  return (
    <XyChart
      label="Growth read so far over the minutes of the test; the table below has the readings"
      lines={noLines}
      dots={dots}
      marks={marks}
      from={0}
      to={Math.max(60, (end - start) / 1000)}
      across={minutesAcross}
      scale={growthScale[system]}
      decimals={system === 'inch' ? 5 : 1}
    />
  )
}
