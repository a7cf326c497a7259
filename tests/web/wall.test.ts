import { describe, expect, it } from 'vitest'
import type { Reader } from '../../core/sentences/index.js'
import type { Source } from '../../core/shop.js'
import type { ClassState, MachineState, Reason, Verdict } from '../../core/state.js'
import { classState } from '../../web/live/class-state.js'
import { briefly, mainCauses } from '../../web/wall/causes.js'
import { inactiveText } from '../../web/wall/inactive.js'
import { wallLayout } from '../../web/wall/layout.js'
import { noTimeOf } from '../../web/wall/no-time.js'
import { countVerdicts, nextClass, rotation, summaryText } from '../../web/wall/summary.js'
import { recordInWords } from '../../web/words.js'

describe('the wall’s layout', () => {
  it('fills the screens it is made for without scrolling, for up to 48 machines', () => {
    for (const [width, height] of [
      [1920, 1080],
      [1280, 800],
      [3840, 2160],
    ] as const)
      for (let machines = 1; machines <= 48; machines++)
        expect(wallLayout(width, height, machines).form, `${width} × ${height}, ${machines} machines`).toBe('wide')
  })
  it('writes the verdict at least 48 px high at 1080p: one design px is one px there', () => {
    expect(wallLayout(1920, 1080, 8)).toEqual({ form: 'wide', unit: 1, lanes: 'even', columns: 1 })
  })
  it('grows with the screen and keeps within both its sides', () => {
    expect(wallLayout(3840, 2160, 8).unit).toBe(2)
    expect(wallLayout(1280, 800, 8).unit).toBeCloseTo(1280 / 1920, 9)
    expect(wallLayout(2560, 1080, 8).unit).toBe(1)
  })
  it('says less in lanes of little height and writes larger in tall ones', () => {
    expect(wallLayout(1920, 1080, 12).lanes).toBe('tight')
    expect(wallLayout(1920, 1080, 2).lanes).toBe('roomy')
  })
  it('stands many machines in columns', () => {
    expect(wallLayout(1920, 1080, 13)).toEqual({ form: 'wide', unit: 1, lanes: 'rows', columns: 2 })
    expect(wallLayout(1920, 1080, 24)).toMatchObject({ lanes: 'rows', columns: 2 })
    expect(wallLayout(1920, 1080, 27)).toMatchObject({ lanes: 'rows', columns: 3 })
    expect(wallLayout(1920, 1080, 48)).toMatchObject({ lanes: 'rows', columns: 3 })
  })
  it('has a form of its own for a screen on end', () => {
    for (let machines = 1; machines <= 48; machines++)
      expect(wallLayout(1080, 1920, machines).form, `${machines} machines`).toBe('tall')
  })
  it('becomes a list on a phone, on a screen zoomed in, and where there are too many machines', () => {
    expect(wallLayout(390, 844, 8).form).toBe('list')
    expect(wallLayout(960, 540, 8).form).toBe('list')
    expect(wallLayout(1920, 1080, 49).form).toBe('list')
  })
})

const state = (verdict: Verdict): ClassState => ({
  workClass: 'bores',
  verdict,
  since: 0,
  thermalErrorIndex: null,
  counted: null,
  ready: null,
  reasons: [],
  remedy: null,
  fitByRecord: null,
  axes: [],
})

describe('the record of times named', () => {
  it('is told in words', () => {
    expect(recordInWords({ kept: 27, of: 30 })).toBe('Of the last 30 times found for this work here, 27 came true.')
    expect(recordInWords({ kept: 0, of: 1 })).toMatch(/^The one time found .* did not come true\.$/)
  })
})

describe('why no time is named', () => {
  const settling = (...reasons: Reason[]): ClassState => ({ ...state('settling'), reasons })
  it('is said in a few words: too little seen, too seldom true, or too much that may happen', () => {
    expect(noTimeOf(settling({ kind: 'poor record', kept: 3, of: 4 }))).toEqual({
      named: 'no time yet',
      because: '4 of 10 waits seen',
      inShort: '4/10 seen',
    })
    expect(noTimeOf(settling({ kind: 'poor record', kept: 7, of: 10 }))).toMatchObject({
      named: 'no time',
      because: 'only 7 of 10 came true',
    })
    expect(noTimeOf(settling({ kind: 'poor record', kept: 12, of: 12, isFirstDay: true }))).toMatchObject({
      because: 'none on the first day',
    })
    expect(noTimeOf(settling({ kind: 'no time' }))).toMatchObject({ because: 'too much may happen' })
  })
  it('is not said where one is named, or where there is nothing to wait for', () => {
    expect(noTimeOf({ ...settling(), ready: { earliest: 0, likely: 1, latest: 2 } })).toBeNull()
    expect(noTimeOf(state('unfit'))).toBeNull()
  })
})

describe('the summary', () => {
  it('counts machines by verdict; what nothing is known of is unknown', () => {
    expect(countVerdicts([state('fit'), state('fit'), state('unfit'), undefined])).toEqual({
      fit: 2,
      settling: 0,
      unfit: 1,
      unknown: 1,
    })
  })
  it('says in words only what there is', () => {
    expect(summaryText({ fit: 3, settling: 2, unfit: 0, unknown: 1 })).toBe('3 fit, 2 settling, 1 unknown')
  })
  it('finds a machine’s state for a work class', () => {
    const machine: MachineState = { machine: 'm', at: 0, classes: [state('fit')], nodes: [], growth: [], datum: null }
    expect(classState(machine, 'bores')?.verdict).toBe('fit')
    expect(classState(machine, 'seats')).toBeUndefined()
    expect(classState(undefined, 'bores')).toBeUndefined()
  })
})

const share = { axis: 'X', amount: 5e-6, tolerance: 22e-6, sinceDatum: false }
const door = { source: 'dock-door', name: 'Dock door', from: 0, to: null }
const coldPart: Reason = {
  ...share,
  kind: 'workpiece',
  material: 'steel',
  temperature: 17,
  rise: -3,
  reference: 20,
  length: 0.1,
}
const cooling: Reason = {
  ...share,
  kind: 'drift',
  node: 'column',
  name: 'column',
  change: -1,
  duration: 2700,
  now: false,
  onDiameter: false,
}

describe('main causes', () => {
  const because = (verdict: Verdict, ...reasons: Reason[]): ClassState => ({ ...state(verdict), reasons })
  it('are said once, with how many machines have each, the most frequent first', () => {
    expect(
      mainCauses([
        because('unfit', coldPart),
        because('unfit', { ...cooling, disturbance: door }, coldPart),
        because('settling', coldPart),
        because('unknown', { kind: 'zero', lacking: null }),
        because('unfit', cooling),
      ]),
    ).toEqual([
      { cause: 'cold parts', machines: 2 },
      { cause: 'Dock door', machines: 1 },
      { cause: 'no zero recorded', machines: 1 },
      { cause: 'machine cooling', machines: 1 },
    ])
  })
  it('are those of what is not fit alone', () => {
    expect(mainCauses([because('fit', coldPart), state('unfit'), undefined])).toEqual([])
  })
  it('stand in a lane with what to do, where what is behind them stands at the top', () => {
    const reader: Reader = { system: 'metric', zone: 'UTC', now: 0 }
    const told = {
      ...because('unfit', cooling, coldPart),
      remedy: { kind: 'move' as const, machine: 'b', name: 'Mill 3' },
    }
    expect(briefly(told, reader).replaceAll('\u00a0', ' ')).toBe('Machine cooling. Take it to Mill 3, which is fit')
    expect(briefly(because('settling', coldPart), reader)).toBe('Cold parts')
    const turning = { speed: 100, duration: 2700, sinceDatum: false, onDiameter: false, isLive: true, isBeyond: false }
    const spindle: Reason = { kind: 'spindle', ...share, ...turning, testedAt: null }
    expect(briefly(because('unfit', spindle), reader)).toBe('Spindle growth')
  })
})

describe('rotation through the work classes', () => {
  const classes = [{ id: 'a' }, { id: 'b' }, { id: 'c' }]
  it('goes round', () => {
    expect(nextClass(classes, 'a')).toBe('b')
    expect(nextClass(classes, 'c')).toBe('a')
  })
  it('begins with the first when the present one is gone', () => {
    expect(nextClass(classes, 'x')).toBe('a')
    expect(nextClass([], 'x')).toBeUndefined()
  })
  it('is off unless the address gives a sensible number of seconds', () => {
    expect(rotation('20')).toBe(20)
    for (const nonsense of [null, '', 'x', '0', '-5', '1', '1e9', 'Infinity']) expect(rotation(nonsense)).toBeNull()
  })
})

it('says that doors are shut and heat sources off only as far as sensors tell', () => {
  const source = (id: string, kind: Source['kind']): Source => ({ id, name: id, kind })
  const sources = [source('dock', 'door'), source('oven', 'heat source'), source('press', 'heat source')]
  const told = (...known: string[]) =>
    inactiveText(
      sources,
      sources.map(({ id }) => ({
        source: id,
        active: known.includes(id) ? false : null,
        since: null,
        temperature: null,
      })),
    )
  expect(told('dock', 'oven', 'press')).toBe('Doors shut, heat sources off')
  expect(told('dock', 'oven')).toBe('Doors shut, heat sources off (1 of 2 known)')
  expect(told('oven', 'press')).toBe('No sensor tells of doors, heat sources off')
  expect(inactiveText([], [])).toBe('')
})
