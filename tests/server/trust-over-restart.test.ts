import { pino } from 'pino'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { Shop } from '../../core/shop.js'
import type { SensorState, TrustChange } from '../../core/state.js'
import { factRecorder } from '../../server/fact-recorder.js'
import type { Reading } from '../../server/ingest/reading.js'
import { recoveredMonitor } from '../../server/recovery.js'
import { openStore } from '../../server/store/sqlite.js'
import { machineWith, screwAxis, sensorEveryMinute, workClass } from '../core/machines.js'
import { faultOf } from '../in-words.js'
import { temporaryFolder } from '../temporary-folder.js'

const start = Date.UTC(2026, 0, 12, 6)
const minute = 60_000

const onNode = (node: string) => sensorEveryMinute(node, { kind: 'node', machine: 'mill', node })
const shop = (): Shop => ({
  name: 'invented',
  timeZone: 'UTC',
  referenceTemperature: 20,
  invented: true,
  machines: [machineWith({ nodes: ['screw', 'column'], axes: [screwAxis('X', 'screw')] })],
  sensors: [onNode('air'), onNode('screw'), onNode('column'), sensorEveryMinute('hall', { kind: 'shop air' })],
  sources: [],
  workClasses: [workClass()],
})

type Values = Record<string, number>

/**
 * A shop on a real database, a reading of each sensor a minute; it can be stopped, or killed, and started again.
 *
 * @param past days before the start of which it has a reading every half hour
 */
const living = async (past = 0, folder = temporaryFolder()) => {
  const log = pino({ level: 'silent' })
  let now = start
  const filled = openStore(folder)
  for (let at = start - past * 1440 * minute; at < start; at += 30 * minute)
    filled.append(Object.entries(steps(0)).map(([sensor, value]) => ({ sensor, at, value, receivedAt: at })))
  filled.close()
  const begin = async () => {
    const store = openStore(folder)
    const monitor = await recoveredMonitor(shop(), store, now)
    const record = factRecorder((changes: readonly TrustChange[]) => store.facts.record('trust', changes), 'trust', log)
    monitor.onChange(({ trust }) => void record(trust))
    monitor.advance(now)
    return { store, monitor, record }
  }
  let running = await begin()
  onTestFinished(() => running.store.close())
  return {
    minutes(count: number, values: Values | ((i: number) => Values)) {
      for (let i = 0; i < count; i++) {
        now += minute
        const of = typeof values === 'function' ? values(i) : values
        const readings = Object.entries(of).map(
          ([id, value]): Reading => ({ sensor: id, at: now, value, receivedAt: now }),
        )
        running.monitor.take(running.store.append(readings))
        running.monitor.advance(now)
      }
    },
    /** @param away minutes until it is started again */
    async restart({ away = 0, killed = false, forgetting = false } = {}) {
      await running.record(killed ? [] : running.monitor.suspects())
      running.store.close()
      now += away * minute
      if (forgetting) {
        const store = openStore(folder)
        await store.facts.record(
          'trust',
          shop().sensors.map(({ id }) => ({
            sensor: id,
            at: now,
            trust: 'ok' as const,
            since: now,
            fault: null,
            basis: null,
          })),
        )
        store.close()
      }
      running = await begin()
    },
    state: (id = 'screw'): SensorState => running.monitor.sensors().find(s => s.sensor === id)!,
    node: (id = 'screw') => running.monitor.machine('mill')!.nodes.find(n => n.node === id)!,
    verdict: () => running.monitor.machine('mill')!.classes[0]!.verdict,
    async changes() {
      await running.record([])
      return running.store.facts.of('trust')
    },
  }
}

/** sensors that work in steps, none of them quite quiet */
const steps = (i: number) => ({
  air: 20.2 + (i % 4) / 16,
  screw: 20.3 + (i % 3) / 16,
  column: 20.3 + (i % 2) / 16,
  hall: 20.2 + (i % 3) / 16,
})
const moving = (i: number): Values => ({
  air: 20 + 0.05 * i,
  screw: 20 + 0.03 * i,
  column: 20 + 0.03 * i,
  hall: 20 + 0.05 * i,
})
const spikes = (i: number) => (i % 5 === 0 && i < 15 ? { ...steps(i), screw: 31 } : steps(i))
/** a screw that is warm by its own heat */
const warm = (i: number) => ({ ...steps(i), screw: 25 + (i % 3) / 16 })

interface Fault {
  /** what it lived through before, and then until it is found out; how it goes on; and well again */
  before: (i: number) => Values
  beforeFor?: number
  /** days before, see `living` */
  past?: number
  faulty: (i: number) => Values
  faultyFor: number
  after: (i: number) => Values
  says: RegExp
  /** min; of good readings, until it is believed */
  earned: [least: number, most: number]
}

const faults: Record<string, Fault> = {
  'an unplugged probe': {
    before: steps,
    faulty: i => ({ ...steps(i), screw: -127 }),
    faultyFor: 5,
    after: steps,
    says: /broken connection/,
    earned: [10, 12],
  },
  // the oldest of the three spikes counts for two hours, then ten minutes
  'a loose contact': { before: steps, faulty: spikes, faultyFor: 20, after: steps, says: /spikes/, earned: [110, 125] },
  'a frozen sensor': {
    before: moving,
    beforeFor: 40,
    faulty: i => ({ ...moving(40 + i), screw: 21.2 }),
    faultyFor: 60,
    after: i => moving(100 + i),
    says: /same value for \d+ (min|h)/,
    earned: [10, 18],
  },
  'one that fell off': {
    before: warm,
    faulty: i => ({ ...steps(i), screw: 20.25 + (i % 2) / 16 }),
    faultyFor: 25,
    after: warm,
    says: /to the air's temperature/,
    earned: [10, 25],
  },
  // the two hours in which it strayed have to be over, by half hours, then ten minutes
  'one that strays': {
    before: steps,
    past: 12,
    faulty: i => ({ ...steps(i), screw: 20.3 - Math.min(i, 90) / 30 }),
    faultyFor: 270,
    after: steps,
    says: /lower than it usually does/,
    earned: [100, 160],
  },
}

const faulted = async ({ before, beforeFor = 130, past = 0, faulty, faultyFor }: Fault) => {
  const run = await living(past)
  run.minutes(beforeFor, before)
  run.minutes(faultyFor, faulty)
  return run
}

/** @returns good minutes until the screw was believed */
const untilBelieved = (run: Awaited<ReturnType<typeof living>>, after: Fault['after']): number => {
  for (let i = 0; i < 300; i++) {
    run.minutes(1, () => after(i))
    if (run.state().trust === 'ok') return i
  }
  return Number.POSITIVE_INFINITY
}

describe.each(Object.entries(faults))('%s', (_, fault) => {
  it.each([
    { away: 0, killed: false },
    { away: 0, killed: true },
    { away: 8, killed: false },
  ])('is suspect before and after a restart, and earns its trust back as without one: %j', async how => {
    const run = await faulted(fault)
    const before = run.state()
    expect(before.trust).toBe('suspect')
    expect(faultOf(before)).toMatch(fault.says)
    await run.restart(how)
    const { trust, since, fault: found } = run.state()
    expect({ trust, since, kind: found?.kind }).toEqual({
      trust: 'suspect',
      since: before.since,
      kind: before.fault?.kind,
    })
    // a killed service leaves what it said when it found it: how long a value repeats may have grown meanwhile
    if (!how.killed) expect(found).toEqual(before.fault)
    expect(run.verdict()).toBe('unknown')

    const good = untilBelieved(run, fault.after)
    const undisturbed = await faulted(fault)
    const otherwise = untilBelieved(undisturbed, fault.after)
    for (const minutes of [good, otherwise]) {
      expect(minutes).toBeGreaterThanOrEqual(fault.earned[0] - (minutes === good ? how.away : 0))
      expect(minutes).toBeLessThanOrEqual(fault.earned[1])
    }
    if (how.away === 0) expect(good).toBeGreaterThanOrEqual(otherwise)
  })

  it('that goes on failing after a restart stays suspect', async () => {
    const run = await faulted(fault)
    await run.restart()
    for (let i = 0; i < 15; i++) {
      run.minutes(1, () => fault.faulty(fault.faultyFor + i))
      expect(run.state().trust).toBe('suspect')
    }
  })

  it('is not believed after a week’s absence before it has sent good readings for ten minutes', async () => {
    const run = await faulted(fault)
    await run.restart({ away: 7 * 1440 })
    expect(run.state().trust).toBe('suspect')
    expect(faultOf(run.state())).toMatch(fault.says)
    expect(untilBelieved(run, fault.after)).toBeGreaterThanOrEqual(10)
    // nothing but the record tells after so long: were it lost, this would be the check that fails
    const forgotten = await faulted(fault)
    await forgotten.restart({ away: 7 * 1440, forgetting: true })
    expect(untilBelieved(forgotten, fault.after)).toBe(0)
  })

  it('is not followed again by what it sent meanwhile', async () => {
    const run = await faulted(fault)
    await run.restart()
    const good = untilBelieved(run, fault.after)
    run.minutes(12, i => fault.after(good + 1 + i))
    expect(run.node().temperature!).toBeCloseTo(run.state().value!, 0)
  })
})

it('keeps on record when a sensor became suspect, had to earn its trust, and was believed again', async () => {
  const run = await living()
  run.minutes(70, steps)
  run.minutes(3, i => ({ ...steps(i), screw: 85 }))
  run.minutes(15, steps)
  const at = (minutes: number) => start + minutes * minute
  expect(await run.changes()).toMatchObject([
    { sensor: 'screw', at: at(72), trust: 'suspect', since: at(72), basis: { kind: 'reading' } },
    { sensor: 'screw', at: at(74), trust: 'suspect', since: at(72), basis: { kind: 'earning' } },
    { sensor: 'screw', at: at(84), trust: 'ok', since: at(84), fault: null, basis: null },
  ])
})

it('counts what was earned before the restart', async () => {
  const run = await living()
  run.minutes(70, steps)
  run.minutes(3, i => ({ ...steps(i), screw: 85 }))
  run.minutes(4, steps)
  const { since, fault } = run.state()
  await run.restart()
  expect(run.state()).toMatchObject({ trust: 'suspect', since, fault })
  expect(faultOf(run.state())).toBe('reporting again since 07:14; believed again at 07:24 if it stays so')
  run.minutes(6, steps)
  expect(run.state().trust).toBe('suspect')
  run.minutes(1, steps)
  expect(run.state().trust).toBe('ok')
})

it('lets a sensor that was lost before a long stop earn its trust, and believes one that was well at once', async () => {
  const run = await living()
  run.minutes(70, steps)
  run.minutes(30, i => {
    const { screw: _, ...others } = steps(i)
    return others
  })
  const { since } = run.state()
  await run.restart({ away: 3 * 1440 })
  expect(run.state()).toMatchObject({ trust: 'lost', since })
  run.minutes(1, steps)
  expect([run.state().trust, run.state('column').trust]).toEqual(['suspect', 'ok'])
  run.minutes(9, steps)
  expect(run.state().trust).toBe('suspect')
  run.minutes(1, steps)
  expect(run.state().trust).toBe('ok')
})
