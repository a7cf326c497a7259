import { formatDuration, formatDwell, formatFineGrowth, formatSpeed } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { AxisWarmUp, ToolPlanAnswer } from '../../core/spindle/index.js'
import { Card } from '../frame/card.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'

const axisWords = ({ axis, follows, timeConstant, from, duration }: AxisWarmUp): string => {
  if (follows === 'scale') return `${axis}: follows its scale; moving it warms nothing that counts.`
  if (follows === 'coolant') return `${axis}: its screw follows the coolant; let the coolant run instead.`
  if (duration === null || timeConstant === null) return `${axis}: not known, no time constant of its screw is.`
  const basis = from === 'identified' ? 'identified from its history' : 'assumed in the shop file'
  return `${axis}: move it for ${formatDuration(duration)} as the work does (time constant of its screw ${formatDuration(timeConstant)}, ${basis}).`
}

/** s; less is shown as nothing */
const shortest = 3

interface Props {
  machine: Machine
  plan: ToolPlanAnswer
}

/** Speeds and times before a shift, and how long the axes are to be moved. */
export const WarmUpCard = ({ machine, plan: { list, answer, axes } }: Props) => {
  const system = units.value
  const warmUp = answer?.warmUp ?? null
  const first = list.job.tools[0]!
  return (
    <Card class="warm-up" id="warm-up" text="Warm-up before the shift" about="spindle#warm-up">
      {warmUp ? (
        <>
          <p>
            <strong>
              {formatDwell(warmUp.duration)} until {first.name} may cut, with the tool in the spindle.
            </strong>{' '}
            Then ± {formatFineGrowth(warmUp.remaining / 2, system, 'plain')} remains within its cut, of ±{' '}
            {formatFineGrowth(warmUp.allowed / 2, system, 'plain')} allowed.
          </p>
          <Table
            caption="Warm-up of the spindle"
            rows={warmUp.steps}
            keyOf={(_, i) => i}
            columns={[
              { head: 'Step', names: true, cell: (_, i) => i + 1 },
              ['Speed', ({ speed }) => formatSpeed(speed)],
              ['For', ({ duration }) => formatDwell(duration)],
              ['Growth then', ({ growth }) => formatFineGrowth(growth, system)],
              [`Still to come for ${first.name}`, ({ toCome }) => formatFineGrowth(toCome, system)],
            ]}
          />
          <p class="quiet">
            Guard closed while the spindle turns.{' '}
            {warmUp.straight < shortest
              ? `Were there no limits of speed and steps, it could cut at ${formatSpeed(first.speed)} at once.`
              : `Straight at ${formatSpeed(first.speed)} it would take ${formatDwell(warmUp.straight)}, were there no limits of speed and steps.`}
            {warmUp.capped && ' Speeds beyond the growth test are not used: nothing is known there.'}
          </p>
        </>
      ) : (
        <p class="quiet">
          None of the spindle is planned. Change the list to have one for its first tool, within what the machine
          builder allows of a cold spindle.
        </p>
      )}
      <h3>Axes</h3>
      <ul class="axes">
        {axes.map(axis => (
          <li key={axis.axis}>{axisWords(axis)}</li>
        ))}
      </ul>
      <p class="quiet">
        Until nine tenths of the warmth that moving brings have come; over the travel and at the feeds of the work. The
        machine builder’s own warm-up of {machine.name} comes first.
      </p>
    </Card>
  )
}
