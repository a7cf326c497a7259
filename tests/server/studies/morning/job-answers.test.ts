import { expect, it } from 'vitest'
import { type JobPlan, morningCheck, type PlannedJob } from '../../../../core/morning/index.js'
import { createActions, plannedJobsOf } from '../../../../server/actions/index.js'
import type { Monitor } from '../../../../server/monitor/index.js'
import { morningCheckOf } from '../../../../server/studies/morning/check.js'
import { createJobAnswers } from '../../../../server/studies/morning/job-answers.js'
import { machineWith, screwAxis } from '../../../core/machines.js'
import { outlookOf, type State } from '../../../core/morning/situations.js'
import { FakeMonitor, FakeStore, mill, shop } from '../../http/fakes.js'

const minute = 60_000
/** Monday 2 March 2026, 07:00 in Vienna */
const start = Date.UTC(2026, 2, 2, 6)
const day = '2026-03-02'
const one = {
  ...machineWith({ nodes: ['screw'], axes: [screwAxis('X', 'screw', { workAt: 0.3 })] }),
  id: 'mill',
  name: 'Mill',
}
const small = { ...shop, machines: [one] }
const steady: State = { air: 20, screw: 20 }
const behind: State = { air: 20.3, screw: 16 }

const answering = () => {
  let state = behind
  let asked = 0
  const store = new FakeStore()
  const monitor = new FakeMonitor()
  monitor.now = start
  const circumstances: Monitor['circumstances'] = () => {
    asked += 1
    return { ...new FakeMonitor().circumstances(), outlook: outlookOf(one, state) }
  }
  const parts = { shop: small, store, monitor: { shop: () => monitor.shop(), circumstances }, clock: () => monitor.now }
  const actions = createActions({
    shop: () => small,
    store,
    monitor,
    knownSpindle: async () => null,
    fileSensors: () => [],
    clock: () => monitor.now,
  })
  const plan = async (over: Partial<JobPlan> = {}): Promise<PlannedJob> => {
    const job: JobPlan = {
      part: 'Pump housing',
      features: [{ name: 'bore', length: 0.12, tolerance: 22e-6 }],
      material: 'aluminium',
      machines: [mill.id],
      start: start + 30 * minute,
      duration: 2700,
      share: 0.3,
      zeroedAt: 'job start',
      from: { kind: 'shop' },
      ...over,
    }
    return (await actions.planJobs([{ ...job, day }], 'KM'))[0]!
  }
  return {
    store,
    monitor,
    plan,
    actions,
    asked: () => asked,
    become(next: State) {
      state = next
    },
    fresh: () => createJobAnswers(parts),
    parts,
  }
}

it('answers what is planned, and keeps what was answered when: once for each other answer', async () => {
  const { plan, fresh, become, monitor, store, parts } = answering()
  const job = await plan()
  const jobAnswers = fresh()
  const [first] = await jobAnswers.today()
  expect(first!.job).toEqual(job)
  expect(first!.answer).toMatchObject({ job: job.id, at: start, answer: 'wait', machine: 'mill' })
  const kept = () => store.facts.of('job answer', { subject: day })
  expect(await kept()).toMatchObject([{ job: job.id, answer: 'wait', start: first!.answer.start }])

  monitor.now += minute
  await jobAnswers.answer()
  expect(await kept()).toHaveLength(1)
  become(steady)
  monitor.now += minute
  await jobAnswers.answer()
  expect(await kept()).toMatchObject([{ answer: 'wait' }, { answer: 'go', at: start + 2 * minute, start: job.start }])
  // begun as it was told: what was told stands
  become(behind)
  monitor.now = job.start + minute
  await jobAnswers.answer()
  expect((await jobAnswers.today())[0]!.answer).toMatchObject({ answer: 'go', at: start + 2 * minute })
  // and also after a restart
  const again = await fresh().today()
  expect(again[0]!.answer).toMatchObject({ answer: 'go', at: start + 2 * minute })
  expect(await kept()).toHaveLength(2)
  expect(
    morningCheck.parse(
      await morningCheckOf({
        ...parts,
        monitor: { ...parts.monitor, machines: () => [], sensors: () => [] },
        jobAnswers,
        night: { now: async () => null },
        heating: { now: async () => null },
      }),
    ),
  ).toMatchObject({ day, jobs: [{ job }] })
})

it('keeps a time that moves by more than a quarter of an hour', async () => {
  const { plan, fresh, become, monitor, store } = answering()
  await plan()
  const jobAnswers = fresh()
  await jobAnswers.answer()
  monitor.now += minute
  become({ ...behind, screw: 15.8 })
  await jobAnswers.answer()
  expect(await store.facts.of('job answer')).toHaveLength(1)
  become({ ...behind, screw: 13 })
  monitor.now += minute
  await jobAnswers.answer()
  expect(await store.facts.of('job answer')).toMatchObject([{ answer: 'wait' }, { answer: 'wait' }])
})

it('answers a changed job anew, and a withdrawn one no longer', async () => {
  const { plan, fresh, actions, store } = answering()
  const job = await plan()
  const jobAnswers = fresh()
  await jobAnswers.today()
  const { id: _, enteredAt: __, by: ___, ...same } = job
  const who = { by: 'KM', note: '' }
  const later = { ...same, start: start + 120 * minute }
  await actions.changeJob(day, { job, version: job.id }, later, who)
  expect((await jobAnswers.today())[0]!.answer).toMatchObject({ answer: 'go', start: later.start })
  const [changed] = await plannedJobsOf(store, day)
  await actions.changeJob(day, changed!, null, who)
  expect(await jobAnswers.today()).toEqual([])
})

it('asks a machine once for all jobs that are judged by the same, and no more until minutes have passed', async () => {
  const { plan, fresh, asked, monitor } = answering()
  for (let i = 0; i < 12; i++) await plan({ part: `Part ${i}`, duration: i < 6 ? 2700 : 3600 })
  const jobAnswers = fresh()
  expect(await jobAnswers.today()).toHaveLength(12)
  expect(asked()).toBe(2)
  monitor.now += minute
  await jobAnswers.today()
  expect(asked()).toBe(2)
  monitor.now += 3 * minute
  await jobAnswers.today()
  expect(asked()).toBe(4)
})

it('says the outdoor temperature at which a part was brought in', async () => {
  const { plan, fresh, become } = answering()
  become(steady)
  await plan({ from: { kind: 'outdoors', broughtIn: start - 10 * minute } })
  const [found] = await fresh().today()
  expect(found!.answer).toMatchObject({ answer: 'wait', waitsFor: 'part' })
})
