import type { Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { SpindleAnswer } from '../../core/spindle/index.js'
import { useAddress } from '../answer.js'
import { machinePath } from '../api.js'
import { machinePage } from '../frame/machine-frame.js'
import { Problem } from '../frame/problem.js'
import { addressOf } from '../routes.js'
import { PlanForm } from './plan-form.js'
import { useRun } from './run-store.js'
import { Running } from './running.js'
import './spindle.css'

const Content = ({ machine, shop: zone }: { machine: Machine; shop: Zone }) => {
  const store = useRun(machine.id)
  const before = useAddress<SpindleAnswer>(machinePath(machine.id, 'spindle'))
  const { answer, run } = store
  if (!answer)
    return (
      <>
        <Problem text={store.problem} />
        {!store.problem && <p class="empty">Asking the service …</p>}
      </>
    )
  if (run) return <Running key={run.id} machine={machine} run={run} store={store} zone={zone} />
  if (!before.value && !before.problem) return <p class="empty">Asking the service …</p>
  const { last } = answer
  return (
    <>
      {last && (
        <p class="quiet">
          {last.test === null ? 'The last guided test was given up.' : 'The last guided test has ended: '}
          {last.test !== null && (
            <a href={`${addressOf('spindle', machine.id)}?test=${last.test}`}>what it says of the spindle</a>
          )}
        </p>
      )}
      <Problem text={store.problem} />
      <PlanForm machine={machine} last={before.value?.shown ?? null} onBegun={store.began} />
    </>
  )
}

/** A growth test, guided: from the plan to its end, on a phone beside the machine. */
export const SpindleTestPage = machinePage('spindle', Content)
