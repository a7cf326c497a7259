import { useEffect, useMemo, useState } from 'preact/hooks'
import { formatDuration, formatSpeed, notKnown, type Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import {
  nextReading,
  type RunReading,
  runState,
  type SpindleRun,
  type SpindleTest,
  stepOver,
} from '../../core/spindle/index.js'
import { go } from '../address.js'
import { machinePath, post } from '../api.js'
import { Button } from '../frame/button.js'
import { Problem } from '../frame/problem.js'
import { SignedDialog } from '../frame/signed.js'
import { now } from '../live/state.js'
import { addressOf } from '../routes.js'
import { CorrectDialog } from './correct-dialog.js'
import { ReadSoFar } from './read-so-far.js'
import { type Run, serviceTime } from './run-store.js'
import { useStayingAwake } from './staying-awake.js'
import { ValueEntry } from './value-entry.js'

/** "4:05" until a moment. @param ms until then */
const countdown = (ms: number): string => {
  const seconds = Math.max(0, Math.round(ms / 1000))
  const hours = Math.floor(seconds / 3600)
  const two = (value: number) => String(value).padStart(2, '0')
  return `${hours > 0 ? `${hours}:` : ''}${hours > 0 ? two(Math.floor(seconds / 60) % 60) : Math.floor(seconds / 60)}:${two(seconds % 60)}`
}

interface Props {
  machine: Machine
  run: SpindleRun
  store: Run
  zone: Zone
}

/** The test as it goes on: what to do next in big letters, then what was read. */
export const Running = ({ machine, run, store, zone }: Props) => {
  const { plan } = run
  const events = store.events
  const state = useMemo(() => runState(events), [JSON.stringify(events)])
  const time = now.value ?? serviceTime()
  const current = state.begun.at(-1) ?? null
  const following = current === null ? 0 : current.step + 1 < plan.steps.length ? current.step + 1 : null
  const over = stepOver(plan, state, time)
  const due = nextReading(plan, state)
  const probe = store.answer?.probe ?? null
  const isDue = !probe && due !== null && time >= due
  const [giveUp, setGiveUp] = useState(false)
  const [mend, setMend] = useState<RunReading | null>(null)
  const [problem, setProblem] = useState('')
  const [busy, setBusy] = useState(false)
  const last = state.readings.findLast(({ value }) => value !== null)

  // whoever looks elsewhere feels it in the pocket
  useEffect(() => {
    if (isDue || over) navigator.vibrate?.([200, 100, 200])
  }, [isDue, over])
  useStayingAwake()

  const finish = async () => {
    setBusy(true)
    setProblem('')
    try {
      await store.look()
      const test = await post<SpindleTest>(machinePath(machine.id, `spindle/run/${run.id}/finish`), {})
      go(`${addressOf('spindle', machine.id)}?test=${test.id}`)
    } catch (error) {
      setProblem(error instanceof Error ? error.message : String(error))
      setBusy(false)
    }
  }
  const speedOf = (step: number) => formatSpeed(plan.steps[step]!.speed)
  const turns = (step: number) =>
    plan.steps[step]!.speed > 0 ? `It turns at ${speedOf(step)} now` : 'It stands still now'
  const set = (step: number) =>
    plan.steps[step]!.speed > 0 ? `Set the spindle to ${speedOf(step)}` : 'Stop the spindle, and leave it at rest'
  const nextStep = (step: number, isMain: boolean) => (
    <button
      type="button"
      class={isMain ? 'button is-main is-big spindle-wide' : 'button'}
      onClick={() => store.add({ kind: 'step', step })}
    >
      {turns(step)}
    </button>
  )
  const atEnd = following === null && over !== null
  return (
    <>
      <section class={`panel spindle-now ${isDue || over ? 'is-due' : ''}`} aria-labelledby="spindle-now">
        <div class="panel-head">
          <h2 id="spindle-now">
            {current === null ? 'Before it turns' : `${speedOf(current.step)}`}
            <span class="quiet"> {current === null ? '' : `step ${current.step + 1} of ${plan.steps.length}`}</span>
          </h2>
          {current && (
            <p class="quiet">
              for {formatDuration((time - current.at) / 1000)} of {formatDuration(plan.steps[current.step]!.duration)}
            </p>
          )}
        </div>
        {current === null ? (
          <p class="spindle-ask">{last || probe ? set(0) : 'Read the zero, spindle cold'}</p>
        ) : over && !isDue ? (
          <p class="spindle-ask" role="status">
            {over === 'steady' ? 'Growth is steady by the stop rule. ' : ''}
            {following === null ? 'That was the last step: end the test' : set(following)}
          </p>
        ) : (
          <p class="spindle-ask" role={isDue ? 'status' : undefined}>
            {isDue
              ? 'Read now'
              : probe
                ? `Next change in ${countdown(current.at + plan.steps[current.step]!.duration * 1000 - time)}`
                : due === null
                  ? notKnown
                  : `Next reading in ${countdown(due - time)}`}
          </p>
        )}
        {current === null && (last || probe) && nextStep(0, true)}
        {following !== null && following > 0 && over && nextStep(following, true)}
        {atEnd && (
          <Button main class="is-big spindle-wide" disabled={busy || store.waiting > 0} onClick={finish}>
            {busy ? 'Ending …' : 'End the test'}
          </Button>
        )}
        {probe ? (
          <p>
            Readings come by themselves from <strong>{probe}</strong>: means of half a minute, in the table below.
          </p>
        ) : (
          <ValueEntry
            key={state.readings.length}
            plan={plan}
            from={last?.value ?? 0}
            label="Reading"
            action="Keep"
            onKeep={value => store.add({ kind: 'reading', value })}
          />
        )}
        {store.waiting > 0 && (
          <p class="problem" role="status">
            {store.waiting === 1 ? 'One entry waits' : `${store.waiting} entries wait`} for the network. Kept in this
            browser, with their times, and sent as soon as the service answers.
          </p>
        )}
        <Problem text={problem || (store.waiting > 0 ? '' : store.problem)} />
        <p class="quiet">
          Never reach past a closed guard. Keep indicator and probe clear of the turning spindle; stop it to read where
          something would touch.
        </p>
      </section>

      {state.readings.length > 0 && <ReadSoFar run={run} state={state} zone={zone} onCorrect={setMend} />}

      <section class="panel" aria-labelledby="spindle-otherwise">
        <h2 id="spindle-otherwise">Otherwise</h2>
        <p class="quiet">
          Begun by {run.by}. The test is kept by the service: any phone or computer that opens this page goes on with
          it.
        </p>
        <div class="buttons">
          {following !== null && following > 0 && !over && nextStep(following, false)}
          {current !== null && !atEnd && (
            <Button disabled={busy || store.waiting > 0} onClick={finish}>
              End the test here
            </Button>
          )}
          <Button onClick={() => setGiveUp(true)}>Give the test up …</Button>
        </div>
      </section>

      {mend && (
        <CorrectDialog
          plan={plan}
          zone={zone}
          reading={mend}
          onCorrect={value => store.add({ kind: 'correction', of: mend.key, value })}
          onClose={() => setMend(null)}
        />
      )}
      {giveUp && (
        <SignedDialog
          title="Give the test up"
          noteLabel="Why"
          action="Give it up"
          busyText="Giving up …"
          onSend={async signature => {
            await post(machinePath(machine.id, `spindle/run/${run.id}/give-up`), signature)
            await store.look()
          }}
          onClose={() => setGiveUp(false)}
        >
          <p>Nothing is made of it. What was read stays on record.</p>
        </SignedDialog>
      )}
    </>
  )
}
