import { describe, expect, it } from 'vitest'
import { describeProblems } from '../../../server/shop/index.js'
import { parseShop } from '../../../server/shop/parse.js'
import type { Mistake } from './mistakes.js'
import { changed, lineOf, smallShop } from './small-shop.js'

/** the small shop with sensors found in every way there is */
const shop = changed(
  'sensors:\n',
  `topics:
  - { pattern: 'plant/{sensor}/temperature', payload: { value: t, time: at, time zone: UTC } }
  - pattern: 'gateway/{line}/box_{box}'
    sensor: '{line}/{name}'
    payload: { readings: data.list, name: id, value: t.0, time: at, unit: u }
sparkplug: { request rebirth: true }
sensors:
  west: { name on broker: W-1, at: shop air, scale: 0.1 }
  east: { at: shop air }
  north: { at: shop air, sparkplug: { group: hall, node: edge, device: mill, metric: Screw/Temperature } }
`,
  smallShop,
)

const parsed = (text: string) => parseShop(text, 'small.yaml')

describe('a shop file with sensors by mapping', () => {
  it('says for each where its readings come from', () => {
    const result = parsed(shop)
    if ('problems' in result) throw new Error(describeProblems(result.problems))
    const { topics, sparkplug, sensors } = result.shop
    expect(topics).toEqual([
      {
        pattern: 'plant/{sensor}/temperature',
        sensor: '{sensor}',
        payload: { kind: 'json', value: 't', time: 'at', timeZone: 'UTC' },
      },
      {
        pattern: 'gateway/{line}/box_{box}',
        sensor: '{line}/{name}',
        payload: { kind: 'json', value: 't.0', time: 'at', readings: 'data.list', name: 'id', unit: 'u' },
      },
    ])
    expect(sparkplug).toEqual({ requestRebirth: true })
    const [west, east, north] = sensors
    expect(west).toMatchObject({ id: 'west', nameOnBroker: 'W-1', scale: 0.1 })
    expect(west).not.toHaveProperty('topic')
    expect(east).not.toHaveProperty('nameOnBroker')
    expect(north!.sparkplug).toEqual({ group: 'hall', node: 'edge', device: 'mill', metric: 'Screw/Temperature' })
  })

  it('never asks for births unless told to', () => {
    const result = parsed(shop.replace('{ request rebirth: true }', '{}'))
    expect('shop' in result && result.shop.sparkplug).toEqual({ requestRebirth: false })
  })
})

describe('battery and signal', () => {
  const withBattery = (keys: string) => parsed(changed('unit: u }', `unit: u, ${keys} }`, shop))

  it('stand in a mapping with their units, and what counts as low', () => {
    const result = withBattery(
      "battery: b.left, battery unit: '%', low battery: 12.5 %, signal: rssi, signal unit: dBm",
    )
    if ('problems' in result) throw new Error(describeProblems(result.problems))
    expect(result.shop.topics![1]!.payload).toMatchObject({
      battery: { at: 'b.left', unit: '%', low: 12.5 },
      signal: { at: 'rssi', unit: 'dBm' },
    })
    expect(result.shop).not.toHaveProperty('lowBattery')
  })

  it('are metrics in Sparkplug, and one threshold can hold for the shop', () => {
    const text = changed(
      'metric: Screw/Temperature }',
      'metric: Screw/Temperature, battery: Cell, battery unit: V, low battery: 2.6 V }',
      shop,
    )
    const result = parsed(
      changed('  time zone: America/Chicago\n', '  time zone: America/Chicago\n  low battery: 29 %\n', text),
    )
    if ('problems' in result) throw new Error(describeProblems(result.problems))
    expect(result.shop.sensors.find(s => s.id === 'north')!.sparkplug).toEqual({
      group: 'hall',
      node: 'edge',
      device: 'mill',
      metric: 'Screw/Temperature',
      battery: { at: 'Cell', unit: 'V', low: 2.6 },
    })
    expect(result.shop.lowBattery).toBe(29)
  })

  it.each([
    ['battery: b', 'battery unit', '"battery unit" is missing', "'%'"],
    ['battery: b, battery unit: mV', 'battery unit', 'not one of the choices', 'V'],
    ['battery: b, battery unit: V, low battery: 20 %', 'low battery', 'not a voltage', '2.6 V'],
    ['battery: b, battery unit: V, low battery: 2600', 'low battery', 'not a voltage', '2.6 V'],
    ["battery: b, battery unit: '%', low battery: 20", 'low battery', 'no unit', '%'],
    ["battery: b, battery unit: '%', low battery: 100 %", 'low battery', 'out of bounds', '20 %'],
    ['battery: b..c, battery unit: V', 'battery', 'not a path', 'data.temperature'],
    ['battery unit: V', 'battery unit', 'no battery', 'leave this out'],
    ['signal: s', 'signal unit', '"signal unit" is missing', 'dBm'],
    ['signal unit: dBm', 'signal unit', 'no signal', 'leave this out'],
  ])('%s is one problem', (keys, key, what, remedy) => {
    const result = withBattery(keys)
    expect('problems' in result && result.problems).toMatchObject([
      {
        path: ['topics', '1', 'payload', key],
        what: expect.stringContaining(what),
        remedy: expect.stringContaining(remedy),
      },
    ])
  })
})

const mistakes: Mistake[] = [
  {
    written: "'plant/{sensor}/temperature'",
    instead: 'plant/+/temperature',
    at: 'plant/+/temperature',
    path: 'topics › 0 › pattern',
    what: 'has a wildcard',
    remedy: 'plant/{sensor}/temperature',
  },
  {
    written: "'plant/{sensor}/temperature'",
    instead: "'plant/{a}{b}'",
    at: "'plant/{a}{b}'",
    path: 'topics › 0 › pattern',
    what: 'two parts between two /',
    remedy: 'at most one part',
  },
  {
    written: "'plant/{sensor}/temperature'",
    instead: "'plant/{sensor/temperature'",
    at: "'plant/{sensor/",
    path: 'topics › 0 › pattern',
    what: 'a brace too many or too few',
    remedy: 'braces',
  },
  {
    written: "'{line}/{name}'",
    instead: "'{lin}/{name}'",
    at: "'{lin}/",
    path: 'topics › 1 › sensor',
    what: 'no part {lin}',
    remedy: '"line"',
  },
  {
    written: "'{line}/{name}'",
    instead: 'always',
    at: 'always',
    path: 'topics › 1 › sensor',
    what: 'the same name for every message',
    remedy: "'{sensor}'",
  },
  {
    written: 'value: t.0, time: at',
    instead: 'value: t..0, time: at',
    at: 't..0',
    path: 'topics › 1 › payload › value',
    what: 'not a path into a JSON message',
    remedy: 'probes.1.t',
  },
  {
    written: 'time zone: UTC }',
    instead: 'time zone: +01:00 }',
    at: '+01:00',
    path: 'topics › 0 › payload › time zone',
    what: 'not a time zone',
    remedy: 'UTC',
  },
  {
    written: 'at: shop air, scale: 0.1',
    instead: 'at: shop air, scale: tenths',
    at: 'tenths',
    path: 'sensors › west › scale',
    what: 'not a factor',
    remedy: '0.1',
  },
  {
    written: 'east: { at: shop air }',
    instead: 'east: { at: shop air, name on broker: W-1 }',
    at: 'W-1 }',
    path: 'sensors › east › name on broker',
    what: 'those of the sensor "west" already',
    remedy: 'one name is one sensor',
  },
  {
    written: 'east: { at: shop air }',
    instead: 'east: { at: shop air, payload: number }',
    at: 'payload: number }\n  north',
    path: 'sensors › east › payload',
    what: 'not known here',
    remedy: 'where the topic is',
  },
  {
    written: 'north: { at: shop air, sparkplug',
    instead: 'north: { at: shop air, topic: x, sparkplug',
    at: 'x, sparkplug',
    path: 'sensors › north › topic',
    what: 'has a topic and is a Sparkplug metric',
    remedy: 'keep topic or sparkplug',
  },
  {
    written: 'device: mill, metric: Screw/Temperature',
    instead: 'device: mill/1, metric: Screw/Temperature',
    at: 'mill/1, metric',
    path: 'sensors › north › sparkplug › device',
    what: 'holds +, # or /',
    remedy: 'between two /',
  },
  {
    written: 'device: mill, metric: Screw/Temperature }',
    instead: 'device: mill }',
    at: '{ group: hall',
    path: 'sensors › north › sparkplug › metric',
    what: '"metric" is missing',
    remedy: 'Screw/Temperature',
  },
  {
    written: 'request rebirth: true',
    instead: 'request rebirth: please',
    at: 'please',
    path: 'sparkplug › request rebirth',
    what: 'neither yes nor no',
    remedy: 'true or false',
  },
]

describe('one mistake in a mapping is one problem, at its line and column, with its remedy', () => {
  it.each(mistakes)('$instead', mistake => {
    const text = changed(mistake.written, mistake.instead, shop)
    const result = parsed(text)
    const place = text.indexOf(mistake.at)
    expect('problems' in result && result.problems).toEqual([
      {
        file: 'small.yaml',
        line: lineOf(mistake.at, text),
        column: mistake.what.includes('is missing') ? expect.any(Number) : place - text.lastIndexOf('\n', place - 1),
        path: mistake.path.split(' › '),
        what: expect.stringContaining(mistake.what),
        remedy: expect.stringContaining(mistake.remedy),
      },
    ])
  })

  it('names a sensor that has neither topic nor mapping, and a list whose readings nothing tells apart', () => {
    const none = parsed(changed('topic: hall, ', ''))
    expect('problems' in none && none.problems).toMatchObject([
      { path: ['sensors', 'hall', 'topic'], what: '"topic" is missing' },
    ])
    const apart = parsed(changed('payload: { value: data.bed }', 'payload: { readings: data, value: bed }'))
    expect('problems' in apart && apart.problems).toMatchObject([
      { path: ['sensors', 'a-bed', 'payload', 'readings'], what: expect.stringContaining('neither a time') },
    ])
  })

  it('says when it is not clear what names the sensor', () => {
    const two = parsed(changed("    sensor: '{line}/{name}'\n", '', shop))
    // with a name in the message that one is taken; without it, two parts leave it open
    expect('shop' in two && two.shop.topics![1]!.sensor).toBe('{name}')
    const open = parsed(changed("'plant/{sensor}/temperature'", "'plant/{a}/{b}'", shop))
    expect('problems' in open && open.problems).toMatchObject([
      { path: ['topics', '0', 'sensor'], remedy: expect.stringContaining("sensor: '{a}-{b}'") },
    ])
  })
})
