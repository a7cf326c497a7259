import type { Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { EnvironmentAnswer } from '../../server/http/schemas/measured.js'
import { query, setQuery } from '../address.js'
import { useAnswer } from '../answer.js'
import { ask, machinePath } from '../api.js'
import { CardTitle } from '../frame/card.js'
import { machinePage } from '../frame/machine-frame.js'
import { periodAt, readPeriod, readWindow } from '../frame/period.js'
import { Problem } from '../frame/problem.js'
import { Choice } from '../frame/switches.js'
import { now } from '../live/state.js'
import { Courses } from './courses.js'
import { LargestChanges } from './largest-changes.js'
import { Logs } from './logs.js'
import { PeriodBar } from './period-bar.js'

const Content = ({ machine, shop: zone }: { machine: Machine; shop: Zone }) => {
  const period = readPeriod(query.value)
  const window = readWindow(query.value)
  // the service's time; until it is known, the question waits
  const known = now.value !== null
  const moment = now.peek() ?? Date.now()
  const { value, problem, again } = useAnswer(
    async signal => {
      const range = periodAt(period, now.peek() ?? Date.now(), zone)
      return ask<EnvironmentAnswer>(machinePath(machine.id, 'environment', { ...range, window: window.length }), {
        signal,
      })
    },
    JSON.stringify([machine.id, period, window.id, known]),
    period.kind === 'named' && period.id === 'day' ? 300_000 : null,
  )
  const range = value ?? periodAt(period, moment, zone)
  const largest = value?.axes.reduce((most, a) => ((a.worst?.change ?? -1) > (most.worst?.change ?? -1) ? a : most))
  const axis = value?.axes.find(a => a.axis === query.value.get('axis'))?.axis ?? largest?.axis ?? ''

  return (
    <>
      <section class="panel" aria-labelledby="test">
        <CardTitle id="test" text="Largest change" about="measuring#environment-test">
          <p class="quiet">Choose a period in which the machine stood still: a night, a Sunday.</p>
        </CardTitle>
        <PeriodBar period={period} range={range} window={window.id} zone={zone} />
        <Problem text={problem} />
        {value && <LargestChanges answer={value} zone={zone} />}
        <p class="quiet">
          The largest change is highest minus lowest within any window of that length, computed from stored
          temperatures; the sensors’ noise and steps count in it. The sensitivity is the slope of growth on the air as
          it was some time before (the lag that fits best); it holds for swings as slow as those of the period. If the
          machine worked in the period, both count its own heat too.
        </p>
      </section>

      {value && (
        <section class="panel" aria-labelledby="courses">
          <CardTitle id="courses" text="Over the period" about="measuring#environment-test">
            <Choice
              legend="Axis whose worst window is marked"
              value={axis}
              options={value.axes.map(a => ({ value: a.axis, text: a.axis }))}
              onChange={id => setQuery({ axis: id })}
            />
          </CardTitle>
          <Courses machine={machine} answer={value} axis={axis} zone={zone} />
        </section>
      )}

      {value && (
        <Logs key={machine.id} machine={machine} logs={value.logs} window={window.length} zone={zone} again={again} />
      )}

      <p class="quiet">
        Before placing an indicator or a probe, follow the machine builder’s instructions: lock out, let it come to
        rest, and keep clear of axes that can move.
      </p>
    </>
  )
}

export const EnvironmentPage = machinePage('environment', Content)
