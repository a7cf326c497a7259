import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { outlookAhead } from '../../../core/judge/index.js'
import { answerJob, type JobMachine, type JobSituation } from '../../../core/morning/index.js'
import {
  hour,
  jobMachine,
  machineNamed,
  minute,
  now,
  outlookOf,
  planned,
  type State,
  situationWith,
  unknownMachine,
} from './situations.js'

const at20 = { air: 20, screw: 20 }
/** the heating came late: the screw is 4 K behind the air */
const behind = { air: 20.3, screw: 16 }
/** far from where it is going, for hours */
const slow = { air: 20.3, screw: 12, timeConstant: 3 * 3600 }
/** the machine that is behind, when it has gone on as it was to: asked at a later time for a job to begin then */
const lookedAtLater = (at: number): JobSituation => {
  const machine = jobMachine('a', behind)
  const outlook = outlookAhead(machine.outlook!, (at - now) / 1000)
  return { ...situationWith({ machines: [{ ...machine, outlook }], job: planned({ start: at }) }), now: at }
}
const on = (...machines: JobMachine[]) => answerJob(situationWith({ machines }))

describe('the answer for a planned job', () => {
  it('is go as planned on a machine at rest, with its uncertainty inside the share', () => {
    const { answer, machine, start, asPlanned, asAdvised, windows } = on(jobMachine('a', at20))
    expect({ answer, machine, start }).toEqual({ answer: 'go', machine: 'a', start: now + 30 * minute })
    expect(Math.abs(asPlanned!.error) + asPlanned!.uncertainty).toBeLessThan(asPlanned!.granted)
    expect(asPlanned!.granted).toBeCloseTo(6.6e-6, 12)
    expect(asAdvised).toEqual(asPlanned)
    expect(windows).toEqual([{ machine: 'a', fit: [{ from: now, to: now + 9 * hour }], afterChange: [] }])
  })

  it('is to wait for a machine that is on its way, with an interval, and says what is in the way', () => {
    const { answer, ready, start, waitsFor, reasons, windows } = on(jobMachine('a', behind))
    expect(answer).toBe('wait')
    expect(waitsFor).toBe('machine')
    expect(start).toBe(ready!.latest)
    expect(ready!.earliest).toBeLessThan(ready!.likely)
    expect(ready!.likely).toBeLessThan(ready!.latest)
    expect(reasons[0]).toMatchObject({ kind: 'drift', node: 'screw' })
    // if conditions hold it is fit somewhat before: what may come until then takes time to be sure of
    expect(windows[0]!.fit[0]!.from).toBeGreaterThan(ready!.likely)
    expect(windows[0]!.fit[0]!.from).toBeLessThan(ready!.latest)
  })

  it('names no start where the way there is too uncertain for any, and when to ask again', () => {
    const machine = jobMachine('a', behind)
    const nodes = machine.outlook!.nodes.map(node => ({ ...node, ordinaryChange: 3 * node.ordinaryChange }))
    // within what is granted if conditions hold, and not with what may come until then
    const features = [{ name: 'bore', length: 0.12, tolerance: 12e-6 }]
    const job = planned({ features, start: now + 3 * hour })
    const { answer, start, ready, asAdvised } = answerJob(
      situationWith({ job, machines: [{ ...machine, outlook: { ...machine.outlook!, nodes } }] }),
    )
    expect({ answer, start, asAdvised }).toEqual({ answer: 'wait', start: null, asAdvised: null })
    expect(ready!.likely).toBe(job.start)
    expect(ready!.latest).toBeGreaterThanOrEqual(job.start)
  })

  it('becomes go when the wait is over', () => {
    const { ready } = on(jobMachine('a', behind))
    const later = lookedAtLater(ready!.latest)
    expect(answerJob(later).answer).toBe('go')
  })

  it('is to wait for a part that came in cold, where the machine is fit', () => {
    const job = planned({ from: { kind: 'outdoors', broughtIn: now - 20 * minute } })
    const { answer, waitsFor, change, start } = answerJob(situationWith({ job }))
    expect({ answer, waitsFor, kind: change?.kind }).toEqual({ answer: 'wait', waitsFor: 'part', kind: 'soak' })
    expect(start! - now).toBeGreaterThan(30 * minute)
    // one that comes in later, or soaks more slowly, is waited for longer
    const comes = planned({ from: { kind: 'outdoors', broughtIn: now + 20 * minute } })
    expect(answerJob(situationWith({ job: comes })).start).toBeGreaterThan(start!)
    expect(answerJob(situationWith({ job, partTimeConstant: 3600 })).start).toBeGreaterThan(start!)
    const warm = planned({ from: { kind: 'store', temperature: 20, broughtIn: now - 4 * hour } })
    expect(answerJob(situationWith({ job: warm })).answer).toBe('go')
  })

  it('is to move to the machine with most room where the wait is long, and not to one that is taken or by an open door', () => {
    const b = jobMachine('b', { air: 20.1, screw: 19.2 })
    const c = jobMachine('c', at20)
    expect(on(jobMachine('a', slow), b, c)).toMatchObject({ answer: 'move', machine: 'c', start: now + 30 * minute })
    const taken = { ...c, busy: [{ from: now, to: now + hour }] }
    expect(on(jobMachine('a', slow), b, taken)).toMatchObject({ answer: 'move', machine: 'b' })
    const open = { source: 'door', name: 'yard door', before: 20 }
    expect(on(jobMachine('a', slow), { ...c, open }).answer).not.toBe('move')
    // a short wait is no reason to set up anew
    expect(on(jobMachine('a', behind), c).answer).toBe('wait')
  })

  it('cannot be told while a needed sensor is not believed, and says which', () => {
    const answer = on(unknownMachine('a'))
    expect(answer).toMatchObject({ answer: 'cannot tell', start: null, asPlanned: null, asAdvised: null })
    expect(answer.change).toMatchObject({ kind: 'sensor', missing: { node: 'screw' }, others: 0 })
    expect(on(unknownMachine('a'), jobMachine('b', at20))).toMatchObject({ answer: 'move', machine: 'b' })
  })

  it('is not today while a door stands open, and when it would be with the door shut', () => {
    const disturbance = { source: 'door', name: 'yard door', from: now - hour, to: null }
    const open = { source: 'door', name: 'yard door', before: 20 }
    const answer = on(jobMachine('a', { air: 16.5, screw: 17.5 }, { open, disturbance }))
    expect(answer).toMatchObject({ answer: 'not today', start: null, change: { kind: 'shut', source: 'door' } })
    expect(answer.reasons[0]).toMatchObject({ disturbance })
    const [window] = answer.windows
    expect(window!.fit).toEqual([])
    // if conditions hold it is fit a little before that is sure
    expect(window!.afterChange[0]!.from).toBeLessThanOrEqual(answer.asAdvised!.start)
    expect(answer.change).toMatchObject({ leaves: { fitBy: answer.asAdvised!.start } })
  })

  it('says where probing again before the finishing cut lets it be begun, kept apart from what holds as things stand', () => {
    // the screw drifts by more than is granted within the job, and not for its last quarter
    const job = planned({ duration: 4 * 3600, features: [{ name: 'bore', length: 0.02, tolerance: 22e-6 }] })
    const { answer, start, asPlanned, asAdvised, change, windows } = answerJob(
      situationWith({ job, machines: [jobMachine('a', { air: 20, screw: 16.5, timeConstant: 2 * 3600 })] }),
    )
    expect(Math.abs(asPlanned!.error)).toBeGreaterThan(asPlanned!.granted)
    expect(answer).toBe('wait')
    expect(change).toMatchObject({ kind: 'probe', leaves: { at: job.start, fitBy: job.start } })
    expect(asAdvised?.start).toBe(start ?? undefined)
    expect(windows[0]!.afterChange[0]!.from).toBeLessThan(windows[0]!.fit[0]!.from)
  })

  it('is not today where nothing makes it fit before the shift ends', () => {
    const answer = on(jobMachine('a', { air: 27, screw: 27 }))
    expect(answer).toMatchObject({ answer: 'not today', start: null, asAdvised: null })
    expect(answer.change).not.toBeNull()
  })

  it('is go once zeroed where only the zero has moved, or none is recorded', () => {
    const job = planned({ zeroedAt: 'datum' })
    const none = jobMachine('a', at20, { unknowns: [{ kind: 'zero', lacking: null }] })
    expect(answerJob(situationWith({ job, machines: [none] }))).toMatchObject({
      answer: 'go once zeroed',
      asPlanned: null,
      change: { kind: 'zero', first: true },
    })
    const outlook = {
      ...outlookOf(machineNamed('a'), { air: 20.2, screw: 21.2, steady: 21.2 }),
      datum: { nodes: Float64Array.of(20, 18), part: 20, firstPart: false },
    }
    const moved = answerJob(situationWith({ job, machines: [{ ...jobMachine('a', at20), outlook }] }))
    expect(moved).toMatchObject({ answer: 'go once zeroed', start: job.start, change: { kind: 'zero', first: false } })
    expect(Math.abs(moved.asPlanned!.error)).toBeGreaterThan(moved.asPlanned!.granted)
    expect(Math.abs(moved.asAdvised!.error) + moved.asAdvised!.uncertainty).toBeLessThan(moved.asAdvised!.granted)
  })

  it('counts every feature, each on its own axis', () => {
    const wide = { name: 'plate', length: 0.12, tolerance: 100e-6 }
    const close = { name: 'seat', length: 0.02, tolerance: 5e-6 }
    const machines = [jobMachine('a', behind)]
    const of = (...features: (typeof wide)[]) => answerJob(situationWith({ machines, job: planned({ features }) }))
    expect(of(wide).answer).toBe('go')
    const both = of(wide, close)
    expect(both.answer).not.toBe('go')
    expect(both.asPlanned).toMatchObject({ feature: 1, axis: 'X' })
  })

  it('asks what was no go for the room that a verdict has to earn', () => {
    // just inside the share
    const situation = lookedAtLater(on(jobMachine('a', behind)).ready!.latest)
    expect(answerJob(situation).answer).toBe('go')
    expect(answerJob({ ...situation, before: 'go' }).answer).toBe('go')
    expect(answerJob({ ...situation, before: 'wait' }).answer).toBe('wait')
  })
})

const states: fc.Arbitrary<State> = fc.record({
  air: fc.double({ min: 14, max: 26, noNaN: true }),
  screw: fc.double({ min: 12, max: 30, noNaN: true }),
  part: fc.double({ min: 10, max: 28, noNaN: true }),
  timeConstant: fc.double({ min: 600, max: 20_000, noNaN: true }),
})
const machines = fc
  .array(fc.record({ state: states, isKnown: fc.boolean(), isOpen: fc.boolean() }), { minLength: 1, maxLength: 3 })
  .map(all =>
    all.map(({ state, isKnown, isOpen }, i) => {
      const id = 'abc'[i]!
      if (!isKnown) return unknownMachine(id)
      return jobMachine(id, state, isOpen ? { open: { source: 'door', name: 'door', before: 20 } } : {})
    }),
  )
const jobs = fc.record({
  minutes: fc.integer({ min: -60, max: 480 }),
  length: fc.double({ min: 0.01, max: 0.5, noNaN: true }),
  tolerance: fc.double({ min: 5e-6, max: 80e-6, noNaN: true }),
  zeroedAt: fc.constantFrom('job start', 'datum'),
  outdoors: fc.option(fc.integer({ min: -200, max: 0 })),
})
const situations = fc
  .tuple(machines, jobs)
  .map(([all, { minutes, length, tolerance, zeroedAt, outdoors }]): JobSituation => {
    const start = now + minutes * minute
    const job = planned({
      start,
      zeroedAt,
      features: [{ name: '', length, tolerance }],
      machines: all.map(({ id }) => id),
      ...(outdoors !== null && { from: { kind: 'outdoors', broughtIn: start + outdoors * minute } }),
    })
    return situationWith({ job, machines: all })
  })
const wider = ({ job, ...rest }: JobSituation, times: number): JobSituation => ({
  ...rest,
  job: { ...job, features: job.features.map(each => ({ ...each, tolerance: each.tolerance * times })) },
})

describe('any answer', () => {
  it('is go only at the planned start (or now, when that is over), with error and uncertainty inside the share', () => {
    fc.assert(
      fc.property(situations, situation => {
        const { answer, start, machine, asAdvised } = answerJob(situation)
        if (answer !== 'go') return
        expect(start).toBe(Math.max(situation.job.start, now))
        expect(machine).toBe('a')
        expect(Math.abs(asAdvised!.error) + asAdvised!.uncertainty).toBeLessThanOrEqual(asAdvised!.granted)
      }),
      { numRuns: 150 },
    )
  })

  it('names no start at which its own budget is over what is granted', () => {
    let named = 0
    fc.assert(
      fc.property(situations, situation => {
        const { answer, start, change, asAdvised } = answerJob(situation)
        if (start !== null) {
          expect(asAdvised!.start).toBe(start)
          expect(Math.abs(asAdvised!.error) + asAdvised!.uncertainty).toBeLessThanOrEqual(asAdvised!.granted)
          if (answer === 'wait' || answer === 'move') named++
        }
        // nor one with a change made
        if (answer === 'cannot tell' || !change || !('leaves' in change) || change.leaves.fitBy === null) return
        const { error, uncertainty, granted } = change.leaves
        // lengths are told to the nanometre
        expect(error + uncertainty).toBeLessThanOrEqual(granted + 1e-9)
      }),
      { numRuns: 400 },
    )
    expect(named).toBeGreaterThan(5)
  })

  it('never sends a job to a machine of which a node is unknown', () => {
    fc.assert(
      fc.property(situations, situation => {
        const found = answerJob(situation)
        const used = situation.machines.find(({ id }) => id === found.machine)!
        if (!used.outlook) expect(found.answer).toBe('cannot tell')
        if (found.answer === 'cannot tell') expect(found.start).toBeNull()
      }),
      { numRuns: 150 },
    )
  })

  it('stays go with more tolerance, and never waits longer', () => {
    fc.assert(
      fc.property(situations, fc.double({ min: 1, max: 4, noNaN: true }), (situation, times) => {
        const [one, other] = [answerJob(situation), answerJob(wider(situation, times))]
        if (one.answer === 'go') expect(other.answer).toBe('go')
        if (one.answer === 'wait' && other.answer === 'wait')
          // as finely as times are told
          expect(other.ready!.likely).toBeLessThanOrEqual(one.ready!.likely + minute)
      }),
      { numRuns: 150 },
    )
  })

  it('has times in order, none before now, and windows in which the job is fit', () => {
    fc.assert(
      fc.property(situations, situation => {
        const { ready, windows, start } = answerJob(situation)
        if (start !== null) expect(start).toBeGreaterThanOrEqual(now)
        if (ready) {
          expect(ready.earliest).toBeLessThanOrEqual(ready.likely)
          expect(ready.likely).toBeLessThanOrEqual(ready.latest)
          expect(ready.earliest).toBeGreaterThanOrEqual(Math.max(situation.job.start, now))
        }
        for (const { fit, afterChange } of windows)
          for (const span of [...fit, ...afterChange]) {
            expect(span.from).toBeLessThan(span.to)
            expect(span.from).toBeGreaterThanOrEqual(now)
            expect(span.to).toBeLessThanOrEqual(situation.shiftEnd)
          }
      }),
      { numRuns: 150 },
    )
  })
})
