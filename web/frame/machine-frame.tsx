import type { ComponentChildren, ComponentType } from 'preact'
import type { Machine, Shop } from '../../core/shop.js'
import { go, query } from '../address.js'
import { shop } from '../live/state.js'
import { addressOf, type MachineView, machineViews } from '../routes.js'
import { Frame } from './frame.js'
import './machine-frame.css'
import { SelectField } from './fields.js'

const names: Record<MachineView, string> = {
  machine: 'Now',
  ahead: 'Ahead',
  history: 'History',
  happened: 'What happened',
  budget: 'Budget',
  model: 'Model',
  environment: 'Environment test',
  alignment: 'Alignment',
  spindle: 'Spindle',
  toolPlan: 'Tool plan',
}

/** what a view is about, where its name alone does not say it */
const abouts: Record<MachineView, string> = {
  machine: '',
  ahead: 'Where it will be if doors, vents and heat sources go on as usual, or under a plan',
  history: 'What it did over a stretch of time',
  happened: 'Course, doors, verdicts and work of a few hours, on one page',
  budget: 'What eats the tolerance now, axis by axis',
  model: 'What is assumed of the machine, and what its history and measurements say',
  alignment: 'Level, squareness and spindle tram as they were found, and whether they follow the temperature',
  toolPlan: 'Order, dwells and offsets of a job’s tools, so that the spindle’s growth stays within their share',
  spindle: 'How far it grows at each speed, how long that takes, and whether it has changed',
  environment: 'What the surroundings alone do to it (ETVE in the manner of ISO 230-3)',
}

/** The address of a machine's view. The work class goes along; a stretch of time or a plan belongs to its own view. */
const viewAddress = (view: MachineView, machine: string): string => {
  const workClass = query.value.get('class')
  return addressOf(view, machine) + (workClass ? `?class=${encodeURIComponent(workClass)}` : '')
}

const Head = ({ shop, machine, view }: { shop: Shop; machine: Machine; view: MachineView }) => (
  <div class="stack machine-head">
    <div class="flow machine-title">
      <h1 tabIndex={-1}>
        {machine.name}
        {view !== 'machine' && <span class="view-name"> {names[view].toLowerCase()}</span>}
      </h1>
      <p class="quiet">
        {abouts[view] || [machine.description, machine.place].filter(Boolean).join(' · ')}{' '}
        <a class="screen-only" href={`${addressOf('investigate')}?machine=${encodeURIComponent(machine.id)}`}>
          Were its parts scrapped by heat?
        </a>
      </p>
    </div>
    <div class="machine-views">
      <nav class="flow views" aria-label={`Views of ${machine.name}`}>
        {machineViews.map(v => (
          <a key={v} href={viewAddress(v, machine.id)} aria-current={v === view ? 'page' : undefined}>
            {names[v]}
          </a>
        ))}
      </nav>
      <SelectField
        class="machine-pick"
        label="Machine"
        value={machine.id}
        options={shop.machines}
        onChange={id => go(viewAddress(view, id))}
      />
    </div>
  </div>
)

interface Props {
  /** as in the address */
  id: string
  view: MachineView
  children: (machine: Machine, shop: Shop) => ComponentChildren
}

/** What every view of a machine stands in: its name, the choice of another machine, and the links to its other views. */
export const MachineFrame = ({ id, view, children }: Props) => {
  const theShop = shop.value
  const machine = theShop?.machines.find(m => m.id === id)
  return (
    <Frame
      title={
        machine ? [machine.name, ...(view === 'machine' ? [] : [names[view].toLowerCase()])].join(', ') : 'Machine'
      }
    >
      {machine && theShop ? (
        <>
          <Head shop={theShop} machine={machine} view={view} />
          {children(machine, theShop)}
        </>
      ) : (
        <>
          <h1 tabIndex={-1}>No machine “{id}”</h1>
          <p class="empty">The shop file names these:</p>
          <ul class="choices">
            {theShop?.machines.map(m => (
              <li key={m.id}>
                <a href={viewAddress(view, m.id)}>{m.name}</a>
              </li>
            ))}
          </ul>
        </>
      )}
    </Frame>
  )
}

/** A page that shows one view of a machine. */
export const machinePage =
  (view: MachineView, Content: ComponentType<{ machine: Machine; shop: Shop }>) =>
  ({ id }: { id: string }) => (
    <MachineFrame id={id} view={view}>
      {(machine, shop) => <Content key={machine.id} machine={machine} shop={shop} />}
    </MachineFrame>
  )
