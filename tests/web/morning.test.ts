import { describe, expect, it } from 'vitest'
import { sayAnswer, sayTodo, sayUnusual } from '../../core/sentences/index.js'
import { levelsIn, pathOf } from '../../web/charts/drawing.js'
import { cellsOf, draftOf, gradeWidth } from '../../web/morning/job-draft.js'
import { airRange, drawnAirs, laneHeight, scaleMark } from '../../web/morning/night-scales.js'
import { sheetZoom } from '../../web/morning/one-sheet.js'
import { barsOf, openings, positionIn, shiftOf } from '../../web/morning/shift.js'
import { rowsOf } from '../../web/morning/silent-together.js'
import { demoShop } from '../demo-shop.js'
import { emptyMorning, exampleMorning, morning } from './morning-example.js'

const hour = 3_600_000
const shop = demoShop()
const reader = { system: 'metric', zone: shop.timeZone, now: morning } as const
const { night } = exampleMorning
const of = (part: string) => exampleMorning.jobs.find(({ job }) => job.part === part)!

describe('the shift', () => {
  it('holds now, every start and every window', () => {
    const shift = shiftOf(exampleMorning)
    expect(shift.from).toBeLessThanOrEqual(morning)
    for (const { job, answer } of exampleMorning.jobs) {
      expect(positionIn(shift, job.start)).toBeGreaterThan(0)
      expect(positionIn(shift, job.start)).toBeLessThan(1)
      for (const { fit } of answer.windows) for (const { to } of fit) expect(to).toBeLessThanOrEqual(shift.to)
    }
    expect(positionIn(shift, shift.to + hour)).toBe(1)
    // without a job there is a strip still
    expect(shiftOf(emptyMorning).to - morning).toBe(4 * hour)
  })

  it('slopes where a window begins as an interval, and only there', () => {
    const { answer } = of('Pump housing')
    const [opening] = openings(answer.windows[0]!.fit, answer.ready)
    expect(opening).toMatchObject({ earliest: answer.ready!.earliest, from: answer.ready!.latest })
    const [upright] = openings(of('Fixture plate').answer.windows[0]!.fit, null)
    expect(upright!.earliest).toBe(upright!.from)
    // a ready time of hours later is another window's
    expect(openings([{ from: morning, to: morning + hour }], answer.ready)[0]!.earliest).toBe(morning)
  })

  it('draws a job once where it is done as planned, and both bars where it is not', () => {
    const bars = (part: string) => barsOf(of(part).job, of(part).answer)
    expect(bars('Spindle sleeve')).toMatchObject({ planned: null, onlyAfterChange: false })
    expect(bars('Pump housing').planned).not.toBeNull()
    expect(bars('Guide rail').planned).not.toBeNull()
    expect(bars('Drive shaft')).toMatchObject({ onlyAfterChange: true })
    expect(bars('Bearing block').advised).toBeNull()
  })
})

describe('the words of the morning check', () => {
  it('say the answer, its interval, why and the change', () => {
    const said = (part: string) => sayAnswer(of(part).answer, of(part).job, shop, reader)
    expect(said('Spindle sleeve')).toMatchObject({ answer: 'Go', why: 'as planned, 07:15', change: '' })
    expect(said('Pump housing')).toMatchObject({
      answer: 'Wait until 10:10',
      between: 'Likely 09:45, earliest 09:20',
      why: 'X screw 1.2 K warmer than the part',
    })
    expect(said('Gearbox case').why).toBe('For the part: Grey iron part at 17.2 °C')
    expect(said('Drive shaft')).toMatchObject({ answer: 'Not today', change: 'Shut the Yard door: go at 09:20' })
    expect(said('Guide rail')).toMatchObject({
      answer: 'Move to Mill 3',
      why: 'Fit there at 08:00. Mill 4 only from 13:00 (12:30–13:30)',
    })
    expect(said('Bearing block')).toMatchObject({ answer: 'Cannot tell', change: 'Check sensor Mill 2 column rear' })
    expect(said('Pallet block')).toMatchObject({ answer: 'Go once zeroed' })
  })

  it('are whole for every line and everything unusual, in either units', () => {
    for (const system of ['metric', 'inch', 'tenths'] as const) {
      const inUnits = { ...reader, system }
      for (const { text, more } of [
        ...exampleMorning.todo.map(todo => sayTodo(todo, exampleMorning.jobs, shop, inUnits)),
        ...night!.unusual.map(each => sayUnusual(each, shop, inUnits)),
      ]) {
        expect(text).toMatch(/^[A-Z]/)
        expect(more).toMatch(/\.$/)
        expect(`${text} ${more}`).not.toMatch(/undefined|NaN|null/)
        if (system !== 'metric') expect(`${text} ${more}`).not.toMatch(/µm|°C/)
      }
    }
  })
})

describe('the night’s picture', () => {
  it('is scaled by what it draws: airs but outdoors, machines to one scale', () => {
    const cold = { ...night!.airs[0]!, id: 'outdoors', course: { at: [night!.from], value: [-12] } }
    const airs = [...night!.airs, cold]
    expect(drawnAirs({ airs }).map(({ id }) => id)).toEqual(['shop-air', 'fine-room'])
    expect(airRange({ airs })!.low).toBeGreaterThan(10)
    expect(airRange({ airs: [] })).toBeNull()
    expect(laneHeight({ machines: [] })).toBe(4e-6)
    expect(laneHeight(night!)).toBeGreaterThan(4e-6)
    expect(levelsIn(16.6, 20.4)).toEqual([17, 18, 19, 20])
    expect(levelsIn(0, 12_000)).toEqual([0, 5000, 10_000])
    expect(levelsIn(0, 180)).toEqual([0, 50, 100, 150])
    expect(levelsIn(0, 9)).toEqual([0, 2, 4, 6, 8])
    expect(scaleMark(24e-6, 1e-6)).toBeCloseTo(10e-6, 12)
  })

  it('breaks a line where nothing is known', () => {
    const course = { at: [0, 1, 2, 3].map(h => night!.from + h * hour), value: [1, null, 2, 3] }
    expect(pathOf(course, night!, si => si).match(/M/g)).toHaveLength(2)
    expect(pathOf({ at: [], value: [] }, night!, si => si)).toBe('')
  })
})

describe('the form of a job', () => {
  it('sends what it was filled in with from a planned job', () => {
    const { job } = of('Gearbox case')
    expect(cellsOf(draftOf(job, 'metric', shop.timeZone))).toMatchObject({
      part: 'Gearbox case',
      size: '320 mm',
      tolerance: '24 µm',
      machine: 'mill-3',
      start: '2026-01-14 09:00',
      duration: '90 min',
      share: '30 %',
      from: 'outdoors',
      brought: '2026-01-14 06:30',
      mass: '45 kg',
    })
    expect(cellsOf(draftOf(job, 'inch', shop.timeZone)).tolerance).toMatch(/ in$/)
    expect(cellsOf(draftOf(of('Guide rail').job, 'metric', shop.timeZone))).toMatchObject({
      machine: 'mill-4 or mill-3',
      tolerance: 'IT6',
    })
  })

  it('says how wide a grade is for a size, while both can be read', () => {
    expect(gradeWidth({ size: '120 mm', tolerance: 'H7' })).toBeCloseTo(35e-6, 12)
    expect(gradeWidth({ size: 'Ø 80', tolerance: 'IT6' })).toBeCloseTo(19e-6, 12)
    expect(gradeWidth({ size: '120 mm', tolerance: '0.02 mm' })).toBeNull()
    expect(gradeWidth({ size: '2 m', tolerance: 'H7' })).toBeNull()
    expect(gradeWidth({ size: '', tolerance: 'H7' })).toBeNull()
  })
})

it('prints smaller the more there is, within what can be read', () => {
  const zooms = [1, 2, 4, 8].map(times =>
    sheetZoom({ ...exampleMorning, jobs: Array(times).fill(exampleMorning.jobs).flat() }),
  )
  expect([...zooms].sort((a, b) => b - a)).toEqual(zooms)
  for (const zoom of [...zooms, sheetZoom(emptyMorning)]) {
    expect(zoom).toBeGreaterThan(0.3)
    expect(zoom).toBeLessThanOrEqual(0.6)
  }
})

describe('sensors to mind', () => {
  it('that fell silent in the same minute are one row from four on, those that are doubted never', () => {
    const row = (sensor: string, kind: 'lost' | 'suspect' | 'late', since: number) => ({
      sensor,
      kind,
      since,
      until: null,
    })
    const at = morning - hour
    const all = [
      ...['a', 'b', 'c', 'd'].map((sensor, i) => row(sensor, 'lost', at + i * 1000)),
      ...['e', 'f', 'g', 'h'].map(sensor => row(sensor, 'suspect', at)),
      ...['i', 'j', 'k'].map(sensor => row(sensor, 'late', at)),
      row('l', 'lost', at + 5 * 60_000),
    ]
    expect(rowsOf(all).map(rows => rows.map(({ sensor }) => sensor).join(''))).toEqual(['abcd', ...'efghijkl'])
  })
})
