import { formatMoment, formatTemperature } from '../../core/format.js'
import type { Machine, Shop } from '../../core/shop.js'
import { Frame } from '../frame/frame.js'
import { Choice } from '../frame/switches.js'
import { machines, now, shop, stoppedKind } from '../live/state.js'
import { go, query, setQuery } from '../place.js'
import { units } from '../preferences.js'
import { classState } from '../wall/summary.js'
import { Ahead } from './ahead.js'
import { AlongTravel, growthReach } from './along-travel.js'
import { Budget } from './budget.js'
import { ClassCard } from './class-cards.js'
import { Datums } from './datums.js'
import { GrowthOverTime } from './growth-over-time.js'
import { Learning } from './learning.js'
import { Nodes } from './nodes.js'
import { Settling } from './settling.js'
import { readSpan } from './span.js'
import { SpanBar } from './span-bar.js'
import { Temperatures } from './temperatures.js'
import { VerdictHistory } from './verdict-history.js'
import './machine.css'
import './charts.css'
import './datum.css'

const Content = ({ shop, machine }: { shop: Shop; machine: Machine }) => {
  const system = units.value
  const zone = shop.timeZone
  // charts look back from the service's time; before it is known, this computer's will do
  const moment = now.value ?? Date.now()
  const state = machines.value.get(machine.id)
  const kind = stoppedKind.value
  const believed = kind === null
  const span = readSpan(query.value)
  const budgetClass = shop.workClasses.find(c => c.id === query.value.get('class')) ?? shop.workClasses[0]
  const budgetState = budgetClass && believed ? classState(state, budgetClass.id) : undefined
  const growth = believed ? (state?.growth ?? []) : []

  return (
    <>
      <div class="machine-head">
        <div>
          <h1 tabIndex={-1}>{machine.name}</h1>
          <p class="quiet">
            {machine.description} · {machine.place}
          </p>
          <p>
            <a href={`/machine/${encodeURIComponent(machine.id)}/environment`}>Environment test</a>
          </p>
        </div>
        <label class="field machine-pick">
          <span>Machine</span>
          <select
            value={machine.id}
            onChange={event => go(`/machine/${encodeURIComponent(event.currentTarget.value)}${location.search}`)}
          >
            {shop.machines.map(m => (
              <option key={m.id} value={m.id} selected={m.id === machine.id}>
                {m.name}
              </option>
            ))}
          </select>
        </label>
      </div>

      <div class="class-cards">
        {shop.workClasses.map(c => (
          <ClassCard
            key={c.id}
            machine={machine}
            workClass={c}
            state={believed ? classState(state, c.id) : undefined}
            instead={believed ? 'Unknown' : kind === 'connecting' ? '…' : 'No data'}
            system={system}
            now={moment}
            zone={zone}
          />
        ))}
      </div>

      <section class="panel" aria-labelledby="along">
        <div class="panel-head">
          <h2 id="along">Growth along the travel</h2>
          <p class="quiet">
            Now, against {formatTemperature(shop.referenceTemperature, system, 0)}; one scale for all axes. The triangle
            is the fixed point.
          </p>
        </div>
        <div class="alongs">
          {machine.axes.map(axis => (
            <AlongTravel
              key={axis.id}
              axis={axis}
              growth={growth.find(g => g.axis === axis.id)}
              reach={growthReach(growth)}
              system={system}
            />
          ))}
        </div>
      </section>

      {budgetClass && (
        <section class="panel" aria-labelledby="budget">
          <div class="panel-head">
            <h2 id="budget">Error budget against the tolerance</h2>
            <Choice
              legend="Work class of the budget"
              name="budget-class"
              value={budgetClass.id}
              options={shop.workClasses.map(c => ({ value: c.id, text: c.name }))}
              onChange={id => setQuery({ class: id })}
            />
          </div>
          <Budget workClass={budgetClass} axes={budgetState?.axes ?? []} system={system} />
        </section>
      )}

      <Ahead shop={shop} machine={machine} now={moment} />

      <section class="panel" aria-labelledby="over-time">
        <div class="panel-head">
          <h2 id="over-time">Over time</h2>
          <SpanBar span={span} now={moment} zone={zone} />
        </div>
        <Temperatures shop={shop} machine={machine} span={span} now={moment} datum={state?.datum ?? null} />
        <GrowthOverTime shop={shop} machine={machine} span={span} now={moment} datum={state?.datum ?? null} />
        <VerdictHistory shop={shop} machine={machine} span={span} now={moment} />
      </section>

      <section class="panel" aria-labelledby="nodes">
        <div class="panel-head">
          <h2 id="nodes">Nodes</h2>
          <p class="quiet">{state ? `as of ${formatMoment(state.at, moment, zone)}` : ''}</p>
        </div>
        <Nodes
          machine={machine}
          sensors={shop.sensors}
          states={state?.nodes ?? []}
          system={system}
          now={moment}
          zone={zone}
        />
      </section>

      <Settling key={machine.id} shop={shop} machine={machine} system={system} zone={zone} now={moment} />

      <Learning key={`learning ${machine.id}`} machine={machine} system={system} zone={zone} />

      <Datums key={machine.id} machine={machine} current={state?.datum ?? null} system={system} zone={zone} />
    </>
  )
}

export const MachinePage = ({ id }: { id: string }) => {
  const machine = shop.value?.machines.find(m => m.id === id)
  return (
    <Frame title={machine?.name ?? 'Machine'}>
      {machine && shop.value ? (
        <Content key={machine.id} shop={shop.value} machine={machine} />
      ) : (
        <>
          <h1 tabIndex={-1}>No machine “{id}”</h1>
          <p class="empty">The shop file names these:</p>
          <ul class="choices">
            {shop.value?.machines.map(m => (
              <li key={m.id}>
                <a href={`/machine/${encodeURIComponent(m.id)}`}>{m.name}</a>
              </li>
            ))}
          </ul>
        </>
      )}
    </Frame>
  )
}
