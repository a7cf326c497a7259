import type { Machine, Shop } from '../../core/shop.js'
import { useAnswer } from '../answer.js'
import { Frame } from '../frame/frame.js'
import { Choice } from '../frame/switches.js'
import { now, shop } from '../live/state.js'
import { fetchEnvironment } from '../measured.js'
import { go, query, setQuery } from '../place.js'
import { units } from '../preferences.js'
import { Courses } from './courses.js'
import { Figures } from './figures.js'
import { Logs } from './logs.js'
import { periodAt, readPeriod, readWindow } from './period.js'
import { PeriodBar } from './period-bar.js'
import '../machine/machine.css'
import '../machine/charts.css'
import '../machine/datum.css'
import './environment.css'

const machineHref = (id: string) => `/machine/${encodeURIComponent(id)}`

const Content = ({ shop, machine }: { shop: Shop; machine: Machine }) => {
  const system = units.value
  const zone = shop.timeZone
  const period = readPeriod(query.value)
  const window = readWindow(query.value)
  // the service's time; until it is known, the question waits
  const known = now.value !== null
  const moment = now.peek() ?? Date.now()
  const { value, problem, again } = useAnswer(
    async signal => {
      const range = periodAt(period, now.peek() ?? Date.now(), zone)
      return fetchEnvironment(machine.id, { ...range, window: window.length }, signal)
    },
    JSON.stringify([machine.id, period, window.id, known]),
    period.kind === 'named' && period.id === 'day' ? 300_000 : null,
  )
  const range = value ?? periodAt(period, moment, zone)
  const largest = value?.axes.reduce((most, a) => ((a.worst?.change ?? -1) > (most.worst?.change ?? -1) ? a : most))
  const axis = value?.axes.find(a => a.axis === query.value.get('axis'))?.axis ?? largest?.axis ?? ''

  return (
    <>
      <div class="machine-head">
        <div>
          <h1 tabIndex={-1}>Environment test, {machine.name}</h1>
          <p class="quiet">
            What the surroundings alone do to the machine (ETVE in the manner of ISO 230-3) ·{' '}
            <a href={machineHref(machine.id)}>Machine page</a>
          </p>
        </div>
        <label class="field machine-pick">
          <span>Machine</span>
          <select value={machine.id} onChange={event => go(`${machineHref(event.currentTarget.value)}/environment`)}>
            {shop.machines.map(m => (
              <option key={m.id} value={m.id} selected={m.id === machine.id}>
                {m.name}
              </option>
            ))}
          </select>
        </label>
      </div>

      <section class="panel" aria-labelledby="test">
        <div class="panel-head">
          <h2 id="test">Largest change</h2>
          <p class="quiet">Choose a period in which the machine stood still: a night, a Sunday.</p>
        </div>
        <PeriodBar period={period} range={range} window={window.id} zone={zone} />
        {problem && (
          <p class="problem" role="alert">
            {problem}
          </p>
        )}
        {value && <Figures answer={value} system={system} zone={zone} />}
        <p class="quiet">
          The largest change is highest minus lowest within any window of that length, computed from stored
          temperatures; the sensors’ noise and steps count in it. The sensitivity is the slope of growth on the air as
          it was some time before (the lag that fits best); it holds for swings as slow as those of the period. If the
          machine worked in the period, both count its own heat too.
        </p>
      </section>

      {value && (
        <section class="panel" aria-labelledby="courses">
          <div class="panel-head">
            <h2 id="courses">Over the period</h2>
            <Choice
              legend="Axis whose worst window is marked"
              name="axis"
              value={axis}
              options={value.axes.map(a => ({ value: a.axis, text: a.axis }))}
              onChange={id => setQuery({ axis: id })}
            />
          </div>
          <Courses machine={machine} answer={value} axis={axis} system={system} zone={zone} />
        </section>
      )}

      {value && (
        <Logs
          key={machine.id}
          machine={machine}
          logs={value.logs}
          window={window.length}
          system={system}
          zone={zone}
          again={again}
        />
      )}

      <p class="quiet">
        Before placing an indicator or a probe, follow the machine builder’s instructions: lock out, let it come to
        rest, and keep clear of axes that can move.
      </p>
    </>
  )
}

export const EnvironmentPage = ({ id }: { id: string }) => {
  const machine = shop.value?.machines.find(m => m.id === id)
  return (
    <Frame title={machine ? `Environment test, ${machine.name}` : 'Environment test'}>
      {machine && shop.value ? (
        <Content key={machine.id} shop={shop.value} machine={machine} />
      ) : (
        <>
          <h1 tabIndex={-1}>No machine “{id}”</h1>
          <ul class="choices">
            {shop.value?.machines.map(m => (
              <li key={m.id}>
                <a href={`${machineHref(m.id)}/environment`}>{m.name}</a>
              </li>
            ))}
          </ul>
        </>
      )}
    </Frame>
  )
}
