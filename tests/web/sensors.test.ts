import { describe, expect, it } from 'vitest'
import type { Trust } from '../../core/state.js'
import { countsInWords, dueInWords, matching, sorted } from '../../web/sensors/order.js'
import { reasonInWords, unbroken } from '../../web/words.js'
import { reader } from '../in-words.js'

const sensor = (name: string, trust: Trust, value: number | null, at: number | null, due: string | null = null) => ({
  sensor: name.toLowerCase().replaceAll(' ', '-'),
  name,
  place: `${name}, somewhere`,
  value,
  at,
  trust,
  reason: trust === 'ok' ? '' : 'silent for 4 min',
  remedy: trust === 'ok' ? '' : 'check its power',
  fault: null,
  since: 0,
  due,
})
const sensors = [
  sensor('Mill 10 air', 'ok', 21, 300),
  sensor('Mill 2 air', 'lost', null, null),
  sensor('Mill 2 X screw', 'late', 20, 100, '2027-03-31'),
  sensor('Lathe 1 air', 'suspect', 22, 200, '2026-12-01'),
]
const names = (list: { name: string }[]) => list.map(s => s.name)

describe('sensors in order', () => {
  it('of trust: what needs looking at first', () => {
    expect(names(sorted(sensors, 'trust', false))).toEqual([
      'Mill 2 air',
      'Lathe 1 air',
      'Mill 2 X screw',
      'Mill 10 air',
    ])
  })
  it('of name, numbers by their size', () => {
    expect(names(sorted(sensors, 'name', false))).toEqual([
      'Lathe 1 air',
      'Mill 2 air',
      'Mill 2 X screw',
      'Mill 10 air',
    ])
  })
  it('of value and age, what never reported last', () => {
    expect(names(sorted(sensors, 'value', false)).at(-1)).toBe('Mill 2 air')
    expect(names(sorted(sensors, 'age', false))).toEqual(['Mill 10 air', 'Lathe 1 air', 'Mill 2 X screw', 'Mill 2 air'])
  })
  it('turned round, without touching the list given', () => {
    const before = [...sensors]
    expect(names(sorted(sensors, 'value', true))[0]).toBe('Mill 2 air')
    expect(sensors).toEqual(before)
  })
})

describe('sensors found', () => {
  it('by every word, in name, place or reason', () => {
    expect(names(matching(sensors, 'mill AIR', null))).toEqual(['Mill 10 air', 'Mill 2 air'])
    expect(names(matching(sensors, 'silent lathe', null))).toEqual(['Lathe 1 air'])
    expect(matching(sensors, '  ', null)).toHaveLength(4)
  })
  it('by trust', () => {
    expect(names(matching(sensors, '', 'late'))).toEqual(['Mill 2 X screw'])
  })
})

describe('reasons on a page', () => {
  const reason = { kind: 'pretension', axis: 'X', excess: 1.2 } as const
  it('begin with a capital, in the units of the page', () => {
    expect(reasonInWords(reason, reader(0)).text).toMatch(/^X screw 1\.2\u00a0K/)
    expect(reasonInWords(reason, reader(0, 'inch')).text).toMatch(/^X screw 2\.2\u00a0°F/)
  })
  it('keep a number and its unit together, and break elsewhere', () => {
    expect(unbroken('open 12 min: 1.6 K colder, 3 in all')).toBe('open 12\u00a0min: 1.6\u00a0K colder, 3\u00a0in all')
    expect(unbroken('colder: Z −9.8 µm')).toBe('colder: Z\u00a0−9.8\u00a0µm')
    expect(unbroken('2 sensors')).toBe('2 sensors')
  })
})

describe('calibrations', () => {
  it('stand in order of the day they are due, those without one last', () => {
    expect(names(sorted(sensors, 'due', false)).slice(0, 2)).toEqual(['Lathe 1 air', 'Mill 2 X screw'])
  })

  it('are overdue once the day is over in the shop, not in London', () => {
    const shop = 'America/Chicago'
    const inWords = (now: string) => dueInWords('2026-12-01', Date.parse(now), shop)
    expect(inWords('2026-12-02T05:59:00Z')).toEqual({ due: '2026-12-01', follows: '', remedy: '' })
    expect(inWords('2026-12-02T06:00:00Z').due).toBe('2026-12-01, overdue')
    expect(inWords('2026-12-02T06:00:00Z').follows).toBe('its uncertainty counts 2.0 times')
    expect(inWords('2026-12-02T06:00:00Z').remedy).toMatch(/calibrated/)
  })
})

describe('batteries and signals', () => {
  const battery = (value: number, unit: '%' | 'V', low = false) => ({ battery: { value, unit, low, at: 0 } })
  const some = [
    { ...sensor('None', 'ok', 20, 0) },
    { ...sensor('Volts', 'ok', 20, 0), ...battery(3, 'V'), signal: { value: -60, unit: 'dBm' as const, at: 0 } },
    { ...sensor('Half', 'ok', 20, 0), ...battery(50, '%'), signal: { value: -90, unit: 'dBm' as const, at: 0 } },
    { ...sensor('Low volts', 'ok', 20, 0), ...battery(2.5, 'V', true) },
    { ...sensor('Low', 'ok', 20, 0), ...battery(20, '%', true) },
  ]
  it('stand with the low and the weak first, and what tells nothing last', () => {
    expect(names(sorted(some, 'battery', false))).toEqual(['Low', 'Low volts', 'Half', 'Volts', 'None'])
    expect(names(sorted(some, 'signal', false)).slice(0, 2)).toEqual(['Half', 'Volts'])
  })
  it('are counted when low', () => {
    expect(countsInWords(some, null, 'UTC')).toBe('5 ok, 2 batteries low')
    expect(countsInWords(some.slice(0, 4), null, 'UTC')).toBe('4 ok, 1 battery low')
  })
})

describe('counts of sensors', () => {
  it('say how many are not believed, worst first, and how many calibrations are overdue', () => {
    const now = Date.UTC(2026, 11, 15)
    expect(countsInWords(sensors, now, 'UTC')).toBe('1 lost, 1 suspect, 1 late, 1 ok, 1 calibration overdue')
    expect(countsInWords(sensors, null, 'UTC')).toBe('1 lost, 1 suspect, 1 late, 1 ok')
    expect(countsInWords(sensors.slice(0, 1), now, 'UTC')).toBe('1 ok')
  })
})
