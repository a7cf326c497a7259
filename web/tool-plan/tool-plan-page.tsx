import { useEffect, useState } from 'preact/hooks'
import { formatDateTime, type Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { ToolList, ToolPlanAnswer } from '../../core/spindle/index.js'
import type { ToolListsAnswer } from '../../server/http/schemas/tool-lists.js'
import { query, setQuery } from '../address.js'
import { useAddress, useAnswer } from '../answer.js'
import { ask, machinePath, post } from '../api.js'
import { Card } from '../frame/card.js'
import { machinePage } from '../frame/machine-frame.js'
import { Problem } from '../frame/problem.js'
import { SignedDialog } from '../frame/signed.js'
import { Choice } from '../frame/switches.js'
import { addressOf } from '../routes.js'
import { ArmsCard } from './arms.js'
import { JobCourse, rangeOf } from './course.js'
import { ListDialog } from './list-dialog.js'
import { SetUpSheet } from './sheet.js'
import { WarmUpCard } from './warm-up.js'
import { headline, isSameOrder, noDwell, orderWords } from './words.js'
import './tool-plan.css'
import { Button } from '../frame/button.js'
import { SelectField } from '../frame/fields.js'

interface PlanProps {
  machine: Machine
  plan: ToolPlanAnswer
  zone: Zone
}

/** Both orders beside each other, and which one the sheet is of. */
const Orders = ({ plan: { list, answer }, order }: Pick<PlanProps, 'plan'> & { order: 'given' | 'best' }) => {
  if (!answer) return null
  const { given, best } = answer
  const job = answer.warmUp ? { ...list.job, loaded: 0 } : list.job
  const shared = {
    job,
    longest: Math.max(given.duration, best.duration),
    range: rangeOf([given, best]),
  }
  const { text, more } = headline(answer)
  return (
    <Card class="orders" id="orders" text="Orders compared" about="spindle#a-job-of-several-tools">
      <p class="orders-fact">{text}</p>
      {!isSameOrder(answer) && (
        <p>
          Proposed: <strong>{orderWords(best, list.job.tools)}</strong>
        </p>
      )}
      <p class="quiet">{more}</p>
      {!isSameOrder(answer) && (
        <>
          <ul class="flow key job-key" aria-hidden="true">
            <li>
              <i class="growth" /> growth, 90 %
            </li>
            <li>
              <i class="dwell" /> dwell at the tool’s speed, out of the cut
            </li>
            <li>
              <i class="allowed" /> offset, and what this cut may change
            </li>
          </ul>
          <JobCourse title="As given" plan={given} {...shared} />
          <JobCourse title="Proposed" plan={best} {...shared} />
          <Choice
            legend="Which order the sheet is of"
            value={order}
            options={[
              { value: 'best', text: 'Sheet of the proposed order' },
              { value: 'given', text: 'Sheet of the given order' },
            ]}
            onChange={value => setQuery({ order: value === 'best' ? null : value })}
          />
        </>
      )}
    </Card>
  )
}

/** px: a page of letter within its margins; the sheet without its rows, a row, a sentence of a tool that waits */
const page = { high: 960, rest: 720, row: 46, wait: 60 }

/** How much smaller than on the screen the sheet is printed, so that any list fits on one page. */
const sheetZoom = (tools: number, waits: number): number =>
  Math.min(0.62, Math.max(0.34, page.high / (page.rest + tools * page.row + waits * page.wait)))

const Plan = ({ machine, plan, zone }: PlanProps) => {
  const order = query.value.get('order') === 'given' ? 'given' : 'best'
  const { answer, test, list } = plan
  useEffect(() => {
    const waits = answer?.[order].cuts.filter(({ dwell }) => dwell >= noDwell).length ?? 0
    document.documentElement.style.setProperty('--sheet-zoom', sheetZoom(list.job.tools.length, waits).toFixed(3))
  }, [list, answer, order])
  return (
    <>
      {!test && (
        <section class="panel">
          <p class="empty">
            Nothing can be said of these tools yet: the spindle of {machine.name} has no growth test that could be
            fitted. <a href={addressOf('spindle', machine.id)}>Test it</a>, then they are planned.
          </p>
        </section>
      )}
      {test && !test.fits && (
        <p class="problem" role="alert">
          <strong>Do not plan with these figures.</strong> The growth test does not follow the law that is assumed of a
          spindle closely enough. <a href={addressOf('spindle', machine.id)}>Look at the test.</a>
        </p>
      )}
      {answer && (
        <>
          <Orders plan={plan} order={order} />
          <SetUpSheet machine={machine} plan={plan} answer={answer} order={order} zone={zone} />
          <WarmUpCard machine={machine} plan={plan} />
          <ArmsCard arms={answer.arms} tools={list.job.tools} />
        </>
      )}
    </>
  )
}

type Open = { kind: 'enter' } | { kind: 'change' | 'withdraw'; list: ToolList }

const Content = ({ machine, shop: zone }: { machine: Machine; shop: Zone }) => {
  const all = useAddress<ToolListsAnswer>(machinePath(machine.id, 'tool-lists'))
  // what was just sent is shown before the lists are there anew
  const [sent, setSent] = useState<ToolList | null>(null)
  const lists = [...(sent ? [sent] : []), ...(all.value?.lists ?? []).filter(({ id }) => id !== sent?.id)].sort(
    (a, b) => b.id - a.id,
  )
  const asked = Number(query.value.get('list'))
  const list = lists.find(({ id }) => id === asked) ?? lists[0] ?? null
  const about = list ? `${machine.id} ${list.id} ${list.changedAt ?? ''}` : ''
  const plan = useAnswer<ToolPlanAnswer | null>(
    signal =>
      list ? ask<ToolPlanAnswer>(machinePath(machine.id, `tool-lists/${list.id}`), { signal }) : Promise.resolve(null),
    about,
    null,
  )
  const [open, setOpen] = useState<Open | null>(null)
  return (
    <div class="stack tool-plan">
      <Card class="list-card" id="tool-list" text="Tools of a job" about="spindle#a-job-of-several-tools">
        <div class="buttons">
          {lists.length > 0 && (
            <SelectField
              class="machine-pick"
              label="Job"
              value={String(list?.id)}
              options={lists.map(({ id, name, enteredAt }) => ({
                value: String(id),
                text: `${name}, ${formatDateTime(enteredAt, zone)}`,
              }))}
              onChange={id => setQuery({ list: id, order: null }, 'push')}
            />
          )}
          <button type="button" class={list ? 'button' : 'button is-main'} onClick={() => setOpen({ kind: 'enter' })}>
            Enter tools …
          </button>
          {list && (
            <>
              <Button onClick={() => setOpen({ kind: 'change', list })}>Change …</Button>
              <Button onClick={() => setOpen({ kind: 'withdraw', list })}>Withdraw …</Button>
              <Button main disabled={!plan.value?.answer} onClick={() => window.print()}>
                Print the sheet
              </Button>
            </>
          )}
        </div>
        <Problem text={all.problem || plan.problem} />
        {asked > 0 && all.value && list && list.id !== asked && (
          <Problem text={`There is no list ${asked} any more. The one shown was entered last.`} />
        )}
        {all.value && !list && (
          <p class="empty">
            None entered. With a job’s tools, their speeds and times in the cut it is computed how the spindle grows
            through the job: which order needs least waiting, and what to add to each tool’s length.
          </p>
        )}
        {list && !plan.value && !plan.problem && <p class="empty">Comparing orders …</p>}
      </Card>
      {plan.value && <Plan machine={machine} plan={plan.value} zone={zone} />}
      {(open?.kind === 'enter' || open?.kind === 'change') && (
        <ListDialog
          machine={machine}
          list={open.kind === 'change' ? open.list : null}
          onDone={done => {
            setSent(done)
            setQuery({ list: String(done.id), order: null })
            all.again()
          }}
          onClose={() => setOpen(null)}
        />
      )}
      {open?.kind === 'withdraw' && (
        <SignedDialog
          title={`Withdraw ${open.list.name}`}
          noteLabel="Why"
          action="Withdraw"
          busyText="Withdrawing …"
          onSend={async who => {
            await post(machinePath(machine.id, `tool-lists/${open.list.id}/withdraw`), who)
            setSent(null)
            setQuery({ list: null, order: null })
            all.again()
          }}
          onClose={() => setOpen(null)}
        >
          <p>It is no longer listed here, and stays on record.</p>
        </SignedDialog>
      )}
    </div>
  )
}

/** The tools of a job on a machine's spindle: in which order, how long they wait, what to add to their lengths. */
export const ToolPlanPage = machinePage('toolPlan', Content)
