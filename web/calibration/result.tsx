import { formatDifference, formatOffset, formatStretch, type Zone } from '../../core/format.js'
import type { CheckAnswer, CheckedSensor } from '../../server/http/schemas/calibration.js'
import { Button } from '../frame/button.js'
import { Figures } from '../frame/figures.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'

const twice = (standardUncertainty: number | null) => 2 * (standardUncertainty ?? 0)

const finding = (s: CheckedSensor): string => {
  if (s.difference === null) return 'no readings throughout'
  if (!s.significant) return 'agrees'
  return s.difference > 0 ? 'reads high' : 'reads low'
}

const against = (figure: string, limit: string) => (
  <>
    {figure} <span class="quiet">{limit}</span>
  </>
)

/** K; a sensor is rarely so far out, one that was elsewhere often is (common practice, no source) */
const farOff = 2

interface Props {
  answer: CheckAnswer
  zone: Zone
  acceptable: boolean
  onAccept: (sensors: CheckedSensor[]) => void
}

/** Whether the period will do, and how each sensor stands against the median. */
export const Result = ({ answer, zone, acceptable, onAccept }: Props) => {
  const system = units.value
  const { still, limits, sensors, stillMounted } = answer
  const compared = sensors.filter(s => s.difference !== null)
  const elsewhere = compared.filter(s => Math.abs(s.difference ?? 0) > farOff)
  const rate = (value: number) => `${formatOffset(value, system)}/h`
  const size = (value: number) => formatOffset(value, system).replace('+', '')
  // the largest first: those are what the check is for
  const rows = [...sensors].sort((a, b) => Math.abs(b.difference ?? 0) - Math.abs(a.difference ?? 0))
  const assumed = compared.filter(s => s.stepAssumed)
  return (
    <>
      <Figures
        of={[
          ['Period', formatStretch(answer.from, answer.to, zone), 'is-words'],
          ['Drift of the median', against(rate(answer.drift), `at most ${rate(limits.drift).replace('+', '±')}`)],
          ['Swing of the median', against(size(answer.swing), `at most ${size(limits.swing)}`)],
          ['Sensors compared', against(String(compared.length), `of ${sensors.length}`)],
        ]}
      />
      {still ? (
        <p>
          <strong>Still enough:</strong> the temperature changed less than the limits over the period.
        </p>
      ) : (
        <p class="problem">
          <strong>Not still enough.</strong> Sensors that follow at different speeds part company while the temperature
          changes, so no correction of this period can be accepted. Choose a calmer one.
        </p>
      )}
      {stillMounted.length > 0 && (
        <div class="problem">
          <p>
            <strong>Not taken off:</strong> these moved like their own machines, not like the others they are compared
            with. Whatever they were said to lie in, they were still mounted.
          </p>
          <ul>
            {stillMounted.map(({ sensor, name, beside, moved }) => (
              <li key={sensor}>
                {name} moved by {size(moved)} against the others, just as {beside} did
              </li>
            ))}
          </ul>
          <p>
            Take them out of the choice, for they move the median too; or take them off their machines, put all together
            for two hours, and check again.
          </p>
        </div>
      )}
      {still && elsewhere.length > 0 && (
        <p class="problem">
          <strong>Were they all together?</strong> {elsewhere.map(s => s.name).join(', ')}{' '}
          {elsewhere.length === 1 ? 'is' : 'are'} more than {formatDifference(farOff, system, 'plain')} from the median;
          a sensor is rarely that far out. Take out what was elsewhere: it moves the median too.
        </p>
      )}
      <Table
        caption="Sensors against the median of all, the furthest first"
        rows={rows}
        keyOf={({ sensor }) => sensor}
        classOf={({ significant }) => (significant ? 'is-marked' : '')}
        columns={[
          {
            head: 'Sensor',
            names: true,
            cell: s => (
              <>
                {s.name} <span class="quiet check-place">{s.place}</span>
              </>
            ),
          },
          ['Against the median (k = 2)', s => formatOffset(s.difference, system, twice(s.standardUncertainty))],
          { head: 'Finding', plain: 'on a card', cell: finding },
          ['Offset now', ({ offset }) => formatOffset(offset, system)],
          ['Proposed', ({ proposed }) => formatOffset(proposed, system)],
          {
            head: 'Accept',
            plain: 'always',
            cell: s =>
              acceptable &&
              s.proposed !== null && (
                <Button small aria-label={`Accept the correction of ${s.name}`} onClick={() => onAccept([s])}>
                  Accept …
                </Button>
              ),
          },
        ]}
      />
      {assumed[0] && (
        <p class="quiet">
          The readings of {assumed.map(s => s.name).join(', ')} never changed, so that nobody knows how coarse they are:
          steps of {size(assumed[0].step)} are assumed. Give the resolution in the shop file to know better.
        </p>
      )}
    </>
  )
}
