import {
  formatDateTime,
  formatDwell,
  formatFineGrowth,
  formatLength,
  formatSpeed,
  type UnitSystem,
  type Zone,
} from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { PlanInOrder, ToolPlanAnswer } from '../../core/spindle/index.js'
import { asCsv, machinePath } from '../api.js'
import { CardTitle } from '../frame/card.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { JobCourse, rangeOf } from './course.js'
import { isSameOrder, noDwell, orderWords, probingWords, stepWords } from './words.js'

type Cut = PlanInOrder['cuts'][number]

interface Props {
  machine: Machine
  plan: ToolPlanAnswer
  answer: NonNullable<ToolPlanAnswer['answer']>
  order: 'given' | 'best'
  zone: Zone
}

const startWords = ({ list, answer }: ToolPlanAnswer, system: UnitSystem): string => {
  const { start, warmUp } = list
  const before =
    start.kind === 'cold'
      ? 'spindle cold'
      : start.kind === 'grown'
        ? 'growth of the spindle as stated'
        : `spindle ran at ${formatSpeed(start.speed)} for ${formatDwell(start.duration)}, at rest for ${formatDwell(start.rest)} since`
  return `${before}${warmUp ? ', then warmed up' : ''}: growth ${formatFineGrowth(answer?.atStart ?? null, system)}`
}

/** growth, with what it may differ by, tells nothing closer than that */
const isVague = ({ halfBand, allowed }: Cut) => halfBand > allowed / 2

/** The set-up sheet: what is done for each tool, in its order. It prints on one page. */
export const SetUpSheet = ({ machine, plan, answer, order, zone }: Props) => {
  const system = units.value
  const { list, test } = plan
  const shown = answer[order]
  const { tools } = list.job
  const vague = shown.cuts.filter(isVague)
  const waiting = shown.cuts.filter(({ dwell }) => dwell >= noDwell)
  const isGiven = order === 'given' || isSameOrder(answer)
  return (
    <section class="panel set-up-sheet" aria-labelledby="set-up-sheet">
      <CardTitle id="set-up-sheet" text="Set-up sheet" about="spindle#the-set-up-sheet">
        <p class="quiet">
          {machine.name}, {startWords(plan, system)}. Growth test of {formatDateTime(test!.at, zone)}.{' '}
          <a
            class="screen-only"
            href={asCsv(machinePath(machine.id, `tool-lists/${list.id}`, { order }))}
            download="set-up-sheet.csv"
          >
            CSV
          </a>
        </p>
      </CardTitle>
      <h3 class="sheet-job">
        {list.name}: {orderWords(shown, tools)} {isGiven ? '(as given)' : '(proposed)'}
      </h3>
      <Table
        caption="Set-up sheet"
        rows={shown.cuts}
        keyOf={({ tool }) => tool}
        classOf={({ dwell }) => (dwell >= noDwell ? 'waits' : '')}
        columns={[
          {
            head: 'Tool, length',
            names: true,
            cell: ({ tool }) => (
              <>
                {tools[tool]!.name} <small class="quiet">{formatLength(tools[tool]!.length, system)}</small>
              </>
            ),
          },
          ['Speed', ({ tool }) => formatSpeed(tools[tool]!.speed)],
          ['In the cut', ({ tool }) => formatDwell(tools[tool]!.cutting)],
          ['Dwell before it', ({ dwell }) => (dwell >= noDwell ? <strong>{formatDwell(dwell)}</strong> : 'none')],
          [
            'Growth in the cut',
            ({ starting, ending }) => `${formatFineGrowth(starting, system)} → ${formatFineGrowth(ending, system)}`,
          ],
          [
            'Add to tool length',
            ({ offset, halfBand }) => (
              <>
                <strong>{formatFineGrowth(offset, system)}</strong> ± {formatFineGrowth(halfBand, system, 'plain')}
              </>
            ),
          ],
          [
            'Remains (may)',
            ({ least, most, allowed }) =>
              `± ${formatFineGrowth((most - least) / 2, system, 'plain')} (± ${formatFineGrowth(allowed / 2, system, 'plain')})`,
          ],
          ...(waiting.length > 0
            ? [
                {
                  head: 'Without the dwell',
                  form: 'note' as const,
                  cell: ({ dwell, withoutDwell }: Cut) =>
                    dwell >= noDwell &&
                    `probe ${probingWords(withoutDwell)}; or add ${formatFineGrowth(withoutDwell.offset, system)}, remains ± ${formatFineGrowth(withoutDwell.remaining, system, 'plain')}`,
                },
              ]
            : []),
        ]}
      />
      <div class={isSameOrder(answer) ? '' : 'paper-only'}>
        <JobCourse
          title={isGiven ? 'As given' : 'Proposed'}
          plan={shown}
          job={answer.warmUp ? { ...list.job, loaded: 0 } : list.job}
          longest={shown.duration}
          range={rangeOf([shown])}
        />
      </div>
      {shown.untested.length > 0 && (
        <p class="problem" role="note">
          <strong>Faster than any speed that was tested: {shown.untested.join(', ')}.</strong> Nothing measured stands
          behind what is said of them: test the spindle at their speed.
        </p>
      )}
      {vague.length > 0 && (
        <p class="problem" role="note">
          <strong>
            The growth test does not know it so closely: {vague.map(({ tool }) => tools[tool]!.name).join(', ')}.
          </strong>{' '}
          What the offset may be wrong by is more than what may remain. Probe these tools after their dwell instead of
          adding an offset.
        </p>
      )}
      <div class="sheet-words">
        <div>
          <h3>In the program, or at the machine</h3>
          {waiting.length > 0 && (
            <ol class="sheet-steps">
              {waiting.map(cut => (
                <li key={cut.tool}>{stepWords(cut, tools[cut.tool]!, system)}</li>
              ))}
            </ol>
          )}
          <p>
            {waiting.length > 0 ? 'Every other tool' : 'Every tool'}: add what the table says to its length, or probe it
            after its change and cut at once.
          </p>
          <p>
            Running unattended, all of this must stand in the program: each dwell with the spindle turning at the tool’s
            speed, each offset or probing, and a stop if probing finds a tool off by more than may remain. Nobody is
            there to do it.
          </p>
        </div>
        <div>
          <h3>Where to put the offset</h3>
          <p>
            Into the length wear of that tool in the control, for this job only; take it out afterwards. + makes the
            tool longer: the spindle has grown, and the tip reaches so much further than when its length was measured
            with the spindle cold. Where a control counts the other way, turn the sign round, and prove it before the
            first cut. A tool that was probed warm after its dwell has the growth in its length already: add nothing.
          </p>
          <p>
            <strong>
              The machine builder’s instructions come first: his run-in, his limits of speed and of time at speed. Guard
              closed while the spindle turns, the tool clear of work and fixture while it dwells; lock out before
              reaching in.
            </strong>
          </p>
        </div>
      </div>
    </section>
  )
}
