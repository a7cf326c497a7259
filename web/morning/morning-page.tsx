import { useEffect, useRef, useState } from 'preact/hooks'
import { formatClock, formatRate, formatSince, formatTemperature } from '../../core/format.js'
import type { MorningCheck } from '../../core/morning/index.js'
import type { Shop } from '../../core/shop.js'
import type { ShopState } from '../../core/state.js'
import { useAddress } from '../answer.js'
import { formatDay } from '../days.js'
import { shopPage } from '../frame/frame.js'
import { now, shopState } from '../live/state.js'
import { units } from '../preferences.js'
import { SourceShape } from '../shapes/source.js'
import { activeSources } from '../wall/source-strip.js'
import { stateSignature } from './changes.js'
import { type Open, OpenDialog } from './dialogs.js'
import { JobsCard } from './jobs.js'
import { MachinesCard } from './machines.js'
import { NightCard } from './night.js'
import { sheetZoom } from './one-sheet.js'
import { SensorsCard } from './sensors.js'
import { TodoCard } from './todo.js'
import './morning.css'
import './jobs.css'
import './shift.css'
import './night.css'
import './dialogs.css'
import './print.css'
import { Button } from '../frame/button.js'
import { Done } from '../frame/problem.js'

/** ms; answers move on with the time even when nothing happens */
const minute = 60_000

/** The shop at a glance: its air, outdoors, and what stands open. */
const Facts = ({ theShop, state, moment }: { theShop: Shop; state: ShopState | null; moment: number }) => {
  const system = units.value
  const doors = activeSources(theShop.sources, state?.sources ?? []).filter(({ source }) => source.kind === 'door')
  return (
    <dl class="flow morning-facts">
      <div>
        <dt>shop air{state?.airRate != null && `, ${formatRate(state.airRate, system)}`}</dt>
        <dd>{formatTemperature(state?.air ?? null, system)}</dd>
      </div>
      <div>
        <dt>outdoors</dt>
        <dd>{formatTemperature(state?.outdoors ?? null, system)}</dd>
      </div>
      {doors.map(({ source, state: { since } }) => (
        <div key={source.id}>
          <dt>{since === null ? 'open' : `open ${formatSince(since, moment, theShop)}`}</dt>
          <dd>
            <SourceShape kind={source.kind} /> {source.name}
          </dd>
        </div>
      ))}
    </dl>
  )
}

const Content = ({ shop: theShop }: { shop: Shop }) => {
  const { value, problem, again } = useAddress<MorningCheck>('/api/morning')
  const system = units.value
  const moment = now.value ?? value?.at ?? Date.now()
  const [open, setOpen] = useState<Open | null>(null)
  const [said, setSaid] = useState('')
  const signature = `${stateSignature.value} ${Math.floor(moment / minute)}`
  const first = useRef(true)
  useEffect(() => {
    if (first.current) first.current = false
    else again()
  }, [signature])
  useEffect(() => {
    if (!value) return
    document.documentElement.style.setProperty('--sheet-zoom', sheetZoom(value).toFixed(3))
  }, [value])
  const reader = { system, zone: theShop, now: value?.at ?? moment }
  return (
    <div class="stack morning">
      <div class="flow morning-head">
        <div>
          <h1 tabIndex={-1}>Morning check</h1>
          <p class="quiet">
            {formatDay(reader.now, theShop)}, as of {formatClock(reader.now, theShop)} · {theShop.name}
          </p>
        </div>
        <Facts theShop={theShop} state={shopState.value} moment={moment} />
      </div>
      {problem && (
        <p class="problem" role="alert">
          {problem} {value && 'What stands below is of before.'}
        </p>
      )}
      {!value && !problem && <p class="empty">Asking for the answers …</p>}
      {value && (
        <>
          <TodoCard check={value} shop={theShop} reader={reader} />
          <JobsCard
            check={value}
            shop={theShop}
            reader={reader}
            onChange={job => setOpen({ kind: 'change', job })}
            onWithdraw={job => setOpen({ kind: 'withdraw', job })}
          >
            <Done text={said} />
            <div class="buttons job-buttons screen-only">
              <Button main onClick={() => setOpen({ kind: 'enter' })}>
                Enter a job …
              </Button>
              <Button onClick={() => setOpen({ kind: 'table' })}>Send a list …</Button>
              <Button onClick={() => setOpen({ kind: 'take over' })}>Take over yesterday’s …</Button>
              <Button onClick={() => window.print()}>Print</Button>
            </div>
          </JobsCard>
          <MachinesCard
            check={value}
            shop={theShop}
            reader={reader}
            onDecide={machine => setOpen({ kind: 'decision', machine })}
            onMeasure={machine => setOpen({ kind: 'reading', machine })}
          />
          <NightCard check={value} shop={theShop} reader={reader} />
          <SensorsCard check={value} shop={theShop} reader={reader} />
        </>
      )}
      {open && value && (
        <OpenDialog
          open={open}
          shop={theShop}
          day={value.day}
          onDone={words => {
            setSaid(words)
            again()
          }}
          onClose={() => setOpen(null)}
        />
      )}
    </div>
  )
}

export const MorningPage = shopPage('Morning check', Content)
