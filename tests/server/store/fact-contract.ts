import { describe, expect, it } from 'vitest'
import type { JobPlan } from '../../../core/morning/index.js'
import type { ToolListEntry } from '../../../core/spindle/index.js'
import type { FactEntry, FactKind } from '../../../server/store/fact-kinds.js'
import { ClosedAlready, type Facts } from '../../../server/store/facts.js'

const start = Date.UTC(2026, 0, 14, 6)
const signed = { by: 'R. Iron', note: 'reference sphere, "checked" = twice' }

const verdictOf = (machine: string, workClass: string, at: number): FactEntry<'verdict'> => ({
  machine,
  workClass,
  at,
  verdict: 'settling',
  thermalErrorIndex: 12.5,
  reason: { kind: 'pretension', axis: 'X', excess: 1.2 },
})
const measuredAt = (at: number): FactEntry<'measurement'> => ({
  machine: 'mill-1',
  axis: 'X',
  position: 0.25,
  zeroAt: start,
  at,
  // all of its digits must come back
  value: 4.250000000000001e-6,
  uncertainty: 0.5e-6,
  enteredAt: at + 1,
  ...signed,
})
const offsetOf = (sensor: string, newOffset: number, takesBack: number | null = null): FactEntry<'offset'> => ({
  sensor,
  at: start,
  ...signed,
  oldOffset: 0.1,
  newOffset,
  found: takesBack ? null : { from: start - 10, to: start, difference: 0.2, standardUncertainty: 0.004, sensors: 6 },
  takesBack,
})

const pump: JobPlan = {
  part: 'Pump housing',
  features: [{ name: 'bore', length: 0.12, tolerance: 22e-6, grade: 'H6', axis: 'X' }],
  material: 'aluminium 6061',
  machines: ['mill-1', 'mill-2'],
  start: start + 3_600_000,
  duration: 2700,
  share: 0.3,
  zeroedAt: 'job start',
  from: { kind: 'store', temperature: 5, broughtIn: start },
  size: { mass: 12 },
}

const housing: ToolListEntry = {
  name: 'Bearing housing',
  job: {
    tools: [
      { name: 'T1', length: 0.12, speed: 58.333333333333336, cutting: 480, tolerance: 33e-6, share: 0.3 },
      { name: 'T7', length: 0.09, speed: 191.66666666666666, cutting: 720, tolerance: 10e-6, share: 0.3 },
    ],
    before: [[0, 1]],
    change: 24,
  },
  start: { kind: 'ran', speed: 100, duration: 1800, rest: 300 },
  warmUp: { highest: 200, step: 50, hold: 300 },
  tilt: 20e-6,
  workHeight: 0.15,
}

/** one of each kind; what another closes comes first */
export const examples: { [Kind in FactKind]: (earlier: number) => FactEntry<Kind> } = {
  verdict: () => ({
    ...verdictOf('mill-1', 'bores', start),
    verdict: 'unknown',
    thermalErrorIndex: null,
    reason: null,
  }),
  'fit by': () => ({
    machine: 'mill-1',
    workClass: 'bores',
    at: start,
    named: start - 3_600_000,
    found: start - 600_000,
    fitBy: start + 600_000,
    shown: true,
    came: start,
  }),
  trust: () => ({
    sensor: 'mill-1-x-screw',
    at: start,
    trust: 'suspect',
    since: start - 5,
    fault: { kind: 'stepped to the air', moved: -2.5, within: 600 },
    basis: { kind: 'fell off', at: start - 4, before: 2.5 },
  }),
  datum: () => ({
    machine: 'mill-1',
    at: start,
    ...signed,
    temperatures: { bed: 20.25, 'x screw': 21 },
    part: 20.5,
    firstPart: true,
  }),
  'drift log': () => ({
    machine: 'mill-1',
    axis: 'Z',
    sign: -1,
    enteredAt: start,
    ...signed,
    points: [
      { at: start, value: 0 },
      { at: start + 60_000, value: -1.5e-6 },
    ],
  }),
  measurement: () => measuredAt(start + 3),
  'measurement set aside': earlier => ({ machine: 'mill-1', measurement: earlier, at: start, ...signed }),
  'alignment check': () => ({
    machine: 'mill-1',
    kind: 'level',
    at: start,
    instrument: 'level 0.02 mm/m',
    readings: [{ direction: 'along X', value: 20e-6, reversed: -16e-6 }],
    due: '2026-07-14',
    enteredAt: start + 1,
    ...signed,
    temperatures: { bed: 20.25 },
    moving: { node: 'bed', change: -0.75 },
  }),
  'alignment check taken back': earlier => ({ machine: 'mill-1', check: earlier, at: start + 2, ...signed }),
  'spindle test': earlier => ({
    machine: 'mill-1',
    at: start,
    enteredAt: start + 7_200_000,
    ...signed,
    readWith: 'dial indicator',
    test: {
      steps: [
        { speed: 100, duration: 3600 },
        { speed: 0, duration: 1800.5 },
      ],
      readings: [
        { at: 60, growth: 1e-6 },
        { at: 3600, growth: 21.125e-6 },
      ],
      toolLength: 0.12,
      indicatorHeight: null,
      resolution: 1e-6,
    },
    run: earlier,
  }),
  'spindle run': () => ({
    machine: 'mill-1',
    at: start,
    ...signed,
    plan: {
      steps: [{ speed: 100, duration: 3600 }],
      readAt: [60, 300],
      readWith: 'tool-length probing',
      sign: -1,
      toolLength: null,
      indicatorHeight: 0.15,
      resolution: 0,
      stop: { window: 3600, part: 0.15 },
    },
  }),
  'spindle run events': earlier => ({
    machine: 'mill-1',
    run: earlier,
    at: start + 3,
    events: [
      { kind: 'step', key: 'a', at: start + 1, step: 0 },
      { kind: 'reading', key: 'b', at: start + 2, value: 1.5e-6 },
      { kind: 'correction', key: 'c', at: start + 3, of: 'b', value: null },
    ],
  }),
  'spindle run given up': earlier => ({ machine: 'mill-1', run: earlier, at: start, ...signed }),
  'spindle test taken back': earlier => ({ machine: 'mill-1', test: earlier, at: start + 2, ...signed }),
  'tool list': () => ({ machine: 'mill-1', enteredAt: start, ...signed, ...housing }),
  'tool list change': earlier => ({
    machine: 'mill-1',
    list: earlier,
    version: earlier,
    at: start + 2,
    ...signed,
    became: { ...housing, start: { kind: 'cold' }, warmUp: null, workHeight: null },
  }),
  decision: () => ({ machine: 'mill-1', at: start, kind: 'wait', ...signed }),
  factors: () => ({
    machine: 'mill-1',
    at: start,
    ...signed,
    factors: { 'X screw': 1.1 },
    shown: { nominal: 3e-6, corrected: 1e-6, occasions: 4, measurements: 12 },
  }),
  'shop model': () => ({
    ...{
      shop: 'Invented shop',
      at: start,
      from: start - 14 * 86_400_000,
      to: start,
      spacing: 300,
      rests: 's-hall t/hall °C 0',
    },
    halls: [
      {
        ...{
          place: 's-hall',
          sources: ['dock'],
          neighbours: [],
          weekdays: [true, true, true, true, true, false, false],
        },
        ...{ values: [1.2, 0.25, 20], drawn: [[1.1, 0.26, 20]], memory: 0.7, explained: 0.9, days: 13.5 },
      },
    ],
    places: [
      {
        place: 'mill-1/air',
        influences: [{ of: 'dock', kind: 'source', lags: [0, 900], factors: [0.1, 0.2], drawn: [[0.1, 0.21]] }],
        ...{ constant: 20.5, memory: 0.97, explained: 0.8, days: 13.5 },
      },
    ],
    alike: [{ a: 'dock', b: 'yard', correlation: 0.97 }],
  }),
  'work change': () => ({
    machine: 'mill-1',
    kind: 'offset',
    at: start,
    what: '',
    axis: 'X',
    larger: -4e-6,
    enteredAt: start + 5,
    ...signed,
  }),
  'work change taken back': change => ({ machine: 'mill-1', change, at: start + 10, ...signed }),
  identification: () => ({
    machine: 'mill-1',
    node: 'column',
    at: start,
    from: start - 100,
    to: start,
    follows: 'air',
    bestAir: 'Hall air middle',
    advantage: 0,
    sensors: 'a b',
    accepted: true,
    timeConstant: 3600,
    uncertainty: 0.1,
    standardError: 0.05,
    steadyExcess: 0.2,
    fastShare: null,
    covered63: 3700,
    hours: 300,
    moved: 1.5,
    residualCorrelation: 0.1,
    refusal: null,
    tooLittle: false,
  }),
  import: () => ({ at: start, by: 'R. Iron', note: '', file: 'night.csv' }),
  'import ended': earlier => ({
    file: 'night.csv',
    import: earlier,
    at: start + 1,
    added: 5,
    alreadyThere: 2,
    rowsRefused: 1,
    valuesRefused: 0,
    problem: '',
  }),
  'import taken back': end => ({ file: 'night.csv', at: start + 10, ...signed, import: end, end }),
  'recording kind': () => ({
    headings: 'b8c9',
    at: start,
    ...signed,
    choices: {
      order: 'day first',
      offset: '+01:00',
      columns: { 'Kanal 1': 'sensor mill-1-air' },
      units: { 'Kanal 1': '°F' },
      keepCodes: true,
    },
  }),
  'planned job': () => ({ ...pump, day: '2026-01-14', enteredAt: start, by: 'R. Iron' }),
  'job change': earlier => ({ day: '2026-01-14', job: earlier, version: earlier, at: start, ...signed, became: pump }),
  'job answer': earlier => ({
    day: '2026-01-14',
    job: earlier,
    at: start,
    answer: 'wait',
    machine: 'mill-1',
    start: start + 7_200_000,
    ready: { earliest: start, likely: start + 7_200_000, latest: start + 9_000_000 },
    waitsFor: 'machine',
    asPlanned: {
      machine: 'mill-1',
      start,
      feature: 0,
      axis: 'X',
      error: -8e-6,
      uncertainty: 2e-6,
      granted: 6.6e-6,
      tolerance: 22e-6,
    },
    asAdvised: null,
    change: { kind: 'move', machine: 'mill-2', name: 'Mill 2' },
    reasons: [{ kind: 'pretension', axis: 'X', excess: 1.2 }],
  }),
  'inspection import': () => ({ at: start, by: 'R. Iron', note: '', file: 'housings.csv' }),
  'inspection import ended': earlier => ({
    file: 'housings.csv',
    import: earlier,
    at: start + 1,
    added: 64,
    alreadyThere: 2,
    rowsRefused: 1,
  }),
  'inspection import taken back': end => ({ file: 'housings.csv', at: start + 10, ...signed, import: end, end }),
  'inspection kind': () => ({
    headings: 'b8c9',
    at: start,
    ...signed,
    choices: {
      columns: { Istmaß: 'measured' },
      constants: { machine: 'mill-1' },
      unit: 'mm',
      order: null,
      offset: '+01:00',
    },
  }),
  offset: () => offsetOf('mill-1-x-screw', -0.3),
}
const kinds = Object.keys(examples) as FactKind[]

/**
 * What every store must do with facts, whatever it keeps them in.
 *
 * @param open facts that are empty, and a way to end the store and open it again on what it kept
 */
export const factContract = (open: () => { facts: Facts; reopened: () => Facts }): void => {
  const record = async <Kind extends FactKind>(facts: Facts, kind: Kind, ...entries: FactEntry<Kind>[]) =>
    facts.record(kind, entries)

  describe.each(kinds)('a fact of the kind "%s"', kind => {
    it('is read as it was recorded, also when the store was opened again', async () => {
      const { facts, reopened } = open()
      const [earlier] = await record(facts, 'import', examples.import(0))
      const entry = examples[kind](earlier!.id) as FactEntry<typeof kind>
      const [fact] = await facts.record(kind, [entry])
      expect(fact).toEqual({ ...entry, id: fact!.id })
      for (const again of [() => facts, reopened]) {
        const kept = again()
        expect((await kept.of(kind)).at(-1)).toEqual(fact)
        expect((await kept.newest(kind)).at(-1)).toEqual(fact)
      }
    })
  })

  it('has an id of its own among all kinds', async () => {
    const { facts } = open()
    const [first] = await record(facts, 'import', examples.import(0))
    const ids = [first!.id]
    for (const kind of kinds) {
      const [another] = await facts.record('import', [examples.import(0)])
      ids.push(another!.id, (await facts.record(kind, [examples[kind](another!.id)]))[0]!.id)
    }
    expect(new Set(ids).size).toBe(2 * kinds.length + 1)
  })

  it('is found by subject and span, from and to as given, in the order in which it was recorded', async () => {
    const { facts } = open()
    const at = (offset: number, machine = 'mill-1') => verdictOf(machine, 'bores', start + offset)
    // the clock was set back between the first two
    const all = await record(facts, 'verdict', at(3), at(1), at(2), at(2, 'mill-2'), at(4))
    const [third, first, second, other, fourth] = all
    expect(await facts.of('verdict')).toEqual(all)
    expect(await facts.of('verdict', { subject: 'mill-1', from: start + 1, to: start + 3 })).toEqual([first, second])
    expect(await facts.of('verdict', { from: start + 2 })).toEqual([third, second, other, fourth])
    expect(await facts.of('verdict', { subject: ['mill-2', 'mill-1'], to: start + 3 })).toEqual([first, second, other])
    expect(await facts.of('verdict', { subject: 'mill-3' })).toEqual([])
    expect(await facts.of('verdict', { subject: [] })).toEqual([])
    expect(await facts.of('datum', { subject: 'mill-1' })).toEqual([])
  })

  it('stands, the newest of each subject and part, beside what came later', async () => {
    const { facts } = open()
    const at = (offset: number, machine: string, workClass: string) => verdictOf(machine, workClass, start + offset)
    const [, seats, bores, other, last] = await record(
      facts,
      'verdict',
      at(0, 'mill-1', 'bores'),
      at(1, 'mill-1', 'seats'),
      at(2, 'mill-1', 'bores'),
      at(3, 'mill-2', 'bores'),
      at(4, 'mill-1', 'bores'),
    )
    expect(await facts.newest('verdict')).toEqual([seats, other, last])
    expect(await facts.newest('verdict', start + 3)).toEqual([seats, bores, other, last])
    expect(await facts.newest('datum')).toEqual([])
  })

  it('takes another back or ends it once, and both stay', async () => {
    const { facts } = open()
    const [wrong] = await record(facts, 'offset', offsetOf('s', 0.5))
    const [back] = await record(facts, 'offset', offsetOf('s', 0.1, wrong!.id))
    await expect(record(facts, 'offset', offsetOf('s', 0.2), offsetOf('s', 0.1, wrong!.id))).rejects.toThrow(
      ClosedAlready,
    )
    expect(await facts.of('offset')).toEqual([wrong, back])
  })

  it('is recorded together with the others or not at all, and never when it is not what its kind says', async () => {
    const { facts } = open()
    const broken = { ...measuredAt(start + 2), value: Number.NaN }
    await expect(facts.record('measurement', [measuredAt(start + 1), broken])).rejects.toThrow(/value/)
    const without = { ...measuredAt(start), axis: null as unknown as string }
    await expect(facts.record('measurement', [without])).rejects.toThrow(/axis/)
    expect(await facts.of('measurement')).toEqual([])
    expect(await facts.record('measurement', [])).toEqual([])
  })

  it('is not changed by who gave it or got it', async () => {
    const { facts } = open()
    const given = examples.datum(0)
    const [got] = await record(facts, 'datum', given)
    given.temperatures.bed = -1
    got!.temperatures.bed = -2
    expect((await facts.of('datum'))[0]!.temperatures.bed).toBe(20.25)
  })
}
