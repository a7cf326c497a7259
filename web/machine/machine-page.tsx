import { formatMoment, formatTemperature } from '../../core/format.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { MachineState } from '../../core/state.js'
import { query, setQuery } from '../address.js'
import { readSpan } from '../charts/span.js'
import { SpanBar } from '../charts/span-bar.js'
import { CardTitle } from '../frame/card.js'
import { MachineFrame } from '../frame/machine-frame.js'
import { Choice } from '../frame/switches.js'
import { classState } from '../live/class-state.js'
import { machines, now, stoppedKind } from '../live/state.js'
import { units } from '../preferences.js'
import type { Route } from '../routes.js'
import { SpindleNow } from '../spindle/now-card.js'
import { Ahead } from './ahead.js'
import { AlongTravel, growthReach } from './along-travel.js'
import { Budget } from './budget.js'
import { ClassCard } from './class-cards.js'
import { DatumBar, DatumList } from './datums.js'
import { Learning } from './learning.js'
import { Nodes } from './nodes.js'
import { GrowthOverTime, Temperatures } from './over-time.js'
import { Settling } from './settling.js'
import { VerdictHistory } from './verdict-history.js'
import './machine.css'

interface Props {
  shop: Shop
  machine: Machine
  /** undefined before anything is known of it */
  state: MachineState | undefined
  /** ms */
  moment: number
}

/** the day's line on the first view looks back as far as this */
const lastDay = readSpan(new URLSearchParams('span=day'))

/** Whether the machine can be trusted now, why, from when on, and what the day has been like. */
const Now = ({ shop, machine, state, moment }: Props) => {
  const kind = stoppedKind.value
  const believed = kind === null
  const asked = query.value.get('class')
  // whoever comes from a wall wants the answer for the work class it showed: that stands first
  const classes = [...shop.workClasses].sort((a, b) => Number(b.id === asked) - Number(a.id === asked))
  const datum = state?.datum ?? null
  const over = { shop, machine, span: lastDay, now: moment }
  return (
    <>
      <DatumBar machine={machine} current={datum} zone={shop} />
      <div class="class-cards">
        {classes.map(c => (
          <ClassCard
            key={c.id}
            machine={machine}
            workClass={c}
            state={believed ? classState(state, c.id) : undefined}
            instead={believed ? 'Unknown' : kind === 'connecting' ? '…' : 'No data'}
            now={moment}
            zone={shop}
          />
        ))}
      </div>
      {believed && state?.spindle && <SpindleNow machine={machine.id} spindle={state.spindle} zone={shop} elsewhere />}
      <section class="panel the-day" aria-label="The last 24 hours">
        <VerdictHistory {...over} title="Verdicts of the last 24 hours" listed={false} />
        <GrowthOverTime {...over} datum={datum} />
      </section>
    </>
  )
}

const History = ({ shop, machine, state, moment }: Props) => {
  const zone = shop
  const span = readSpan(query.value)
  const datum = state?.datum ?? null
  const over = { shop, machine, span, now: moment }
  return (
    <>
      <section class="panel" aria-labelledby="over-time">
        <CardTitle id="over-time" text="Over time" about="pages#history">
          <SpanBar span={span} now={moment} zone={zone} />
        </CardTitle>
        <Temperatures {...over} datum={datum} />
        <GrowthOverTime {...over} datum={datum} />
        <VerdictHistory {...over} />
      </section>
      <DatumList machine={machine} current={datum} zone={zone} />
    </>
  )
}

const BudgetView = ({ shop, machine, state }: Props) => {
  const system = units.value
  const believed = stoppedKind.value === null
  const shown = shop.workClasses.find(c => c.id === query.value.get('class')) ?? shop.workClasses[0]
  const axes = shown && believed ? classState(state, shown.id)?.axes : undefined
  const growth = believed ? (state?.growth ?? []) : []
  return (
    <>
      {shown && (
        <section class="panel" aria-labelledby="budget">
          <CardTitle id="budget" text="Error budget against the tolerance" about="pages#the-error-budget">
            <Choice
              legend="Work class of the budget"
              value={shown.id}
              options={shop.workClasses.map(c => ({ value: c.id, text: c.name }))}
              onChange={id => setQuery({ class: id })}
            />
          </CardTitle>
          <Budget workClass={shown} axes={axes ?? []} />
        </section>
      )}
      <section class="panel" aria-labelledby="along">
        <CardTitle id="along" text="Growth along the travel" about="pages#growth-along-the-travel">
          <p class="quiet">
            Now, against {formatTemperature(shop.referenceTemperature, system, 0)}; one scale for all axes. The triangle
            is the fixed point.
          </p>
        </CardTitle>
        <div class="alongs">
          {machine.axes.map(axis => (
            <AlongTravel
              key={axis.id}
              axis={axis}
              growth={growth.find(g => g.axis === axis.id)}
              reach={growthReach(growth)}
            />
          ))}
        </div>
      </section>
    </>
  )
}

const Model = ({ shop, machine, state, moment }: Props) => {
  const zone = shop
  return (
    <>
      <section class="panel" aria-labelledby="nodes">
        <CardTitle id="nodes" text="Nodes" about="pages#nodes">
          <p class="quiet">{state ? `as of ${formatMoment(state.at, moment, zone)}` : ''}</p>
        </CardTitle>
        <Nodes machine={machine} sensors={shop.sensors} states={state?.nodes ?? []} now={moment} zone={zone} />
      </section>
      <Settling shop={shop} machine={machine} zone={zone} now={moment} />
      <Learning machine={machine} zone={zone} />
    </>
  )
}

const views = {
  machine: Now,
  ahead: ({ shop, machine, moment }: Props) => <Ahead shop={shop} machine={machine} now={moment} />,
  history: History,
  budget: BudgetView,
  model: Model,
}

/** A machine, looked at in one of several ways, each with its own address. @param route one of `views` */
export const MachinePage = ({ id, route }: { id: string; route: Route }) => {
  const view = route as keyof typeof views
  const View = views[view]
  return (
    <MachineFrame id={id} view={view}>
      {(machine, shop) => (
        <View
          key={machine.id}
          shop={shop}
          machine={machine}
          state={machines.value.get(machine.id)}
          // charts look back from the service's time; before it is known, this computer's will do
          moment={now.value ?? Date.now()}
        />
      )}
    </MachineFrame>
  )
}
