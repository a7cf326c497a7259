import { describe, expect, it } from 'vitest'
import { sensorLookup } from '../../../server/recording/sensor-names.js'
import { shop } from '../http/fakes.js'
import { recorded } from './recorded.js'

const at = Date.UTC(2026, 0, 14, 8, 30)

describe('a recording', () => {
  it.each([
    ['a row for each reading', 'time,sensor,value\n2026-01-14T08:30Z,s-air,20.5\n'],
    ['with a byte order mark and CRLF', '\uFEFFtime,sensor,value\r\n2026-01-14T08:30Z,s-air,20.5\r\n'],
    ['old ends of lines', 'time,sensor,value\r2026-01-14T08:30Z,s-air,20.5\r'],
    ['no end of the last line', 'time,sensor,value\n2026-01-14T08:30Z,s-air,20.5'],
    [
      'columns in another order, others between',
      'note,Value (°C),Sensor,quality,Time\n,20.5,s-air,good,2026-01-14 08:30Z\n',
    ],
    ['by topic', 'timestamp,topic,reading\n2026-01-14T08:30Z,t/s-air,20.5\n'],
    ['by name, in any case', 'Date/Time;Channel;Temperature\n2026-01-14 09:30;sensor S_AIR;20,5\n'],
    ['°F', 'time,sensor,value [°F]\n2026-01-14T08:30Z,s-air,68.9\n'],
    ['a unit in each row', 'time,sensor,value,unit\n2026-01-14T08:30Z,s-air,293.65,K\n'],
    ['a column for each sensor', 'time,s-air\n2026-01-14T08:30:00.000+00:00,20.5\n'],
    ['a unit in its heading', 'time,Sensor s-air (°F)\n2026-01-14T09:30+01:00,68.9\n'],
    ['a unit without brackets', 'time\tt/s-air °F\n2026-01-14T09:30+01\t68,9\n'],
    ['semicolons and decimal commas', 'time;s-air;s-column\n2026-01-14 09:30;20,5;\n'],
    ['tabs', 'time\ts-air\n2026-01-14 09:30:00\t20.5\n'],
    ['s since 1970', `time (s),s-air\n${at / 1000},20.5\n`],
    ['ms since 1970', `epoch_ms_is_not_known,time,s-air\nx,${at},20.5\n`],
    ['UTC said in the heading', 'time (UTC),s-air\n2026-01-14 08:30,20.5\n'],
    ['timeUtc', 'timeUtc,s-air\n2026-01-14 08:30,20.5\n'],
    ['another zone in the heading', 'time (America/Chicago),s-air\n2026-01-14 02:30,20.5\n'],
    ['date and time of day apart', 'Date,Time,s-air\n2026-01-14,09:30,20.5\n'],
    ['quoted cells', '"time","sensor","value"\n"2026-01-14T08:30Z","s-air","20.5"\n'],
    ['a spreadsheet’s first line', 'sep=;\ntime;s-air\n2026-01-14 09:30;20,5\n'],
    ['empty lines and empty rows', '\n\ntime,s-air\n\n,\n2026-01-14T08:30Z,20.5\n\n'],
  ])('is understood: %s', async (_name, text) => {
    const { readings, contents } = await recorded(text)
    expect(contents.faults.kept).toEqual([])
    expect(readings).toHaveLength(1)
    expect(readings[0]).toMatchObject({ sensor: 's-air', at })
    expect(readings[0]!.value).toBeCloseTo(20.5, 9)
  })

  it('keeps doors apart from temperatures, and takes their words', async () => {
    const { readings, contents } = await recorded(
      'time,s-door,s-air\n2026-01-14T08:30Z,open,20\n2026-01-14T08:31Z,Closed,20\n2026-01-14T08:32Z,1,20\n',
    )
    expect(readings.filter(r => r.sensor === 's-door').map(r => r.value)).toEqual([1, 0, 1])
    expect(contents.faults.total).toBe(0)
  })

  it('takes what stands behind a name for a unit, unless the sensor is called so', async () => {
    const odd = [{ ...shop.sensors[0]!, name: 'coolant (K)' }]
    const text = (heading: string) => `time,${heading}\n2026-01-14T08:30Z,300\n`
    const value = async (heading: string) =>
      (await recorded(text(heading), { lookup: sensorLookup(odd) })).readings[0]?.value
    expect(await value('coolant (K)')).toBe(300)
    expect(await value('coolant (K) (K)')).toBeCloseTo(26.85, 9)
  })

  it('leaves foreign columns out and says so', async () => {
    const { contents } = await recorded('time,s-air,humidity (%)\n2026-01-14T08:30Z,20,45\n')
    expect(contents.headings?.leftOut).toEqual([
      { heading: 'humidity (%)', why: 'no sensor of the shop has this id, name or topic' },
    ])
    expect(contents.readings).toBe(1)
  })

  it('says what it holds: counts, span, sensors with their units, first readings as understood', async () => {
    const { contents } = await recorded(
      'time,s-air (°F),s-column\n2026-01-14T08:30Z,68,19\n2026-01-14T08:31Z,86,\n2026-01-14T08:29Z,32,21\n',
    )
    expect(contents).toMatchObject({
      rows: 3,
      readings: 5,
      emptyCells: 1,
      from: at - 60_000,
      to: at + 60_000,
      rising: false,
    })
    expect([...contents.sensors.values()]).toMatchObject([
      { heading: 's-air (°F)', unit: '°F', unitWritten: true, readings: 3, lowest: 0, highest: 30 },
      { heading: 's-column', unit: '°C', unitWritten: false, readings: 2, lowest: 19, highest: 21 },
    ])
    expect(contents.samples[0]).toMatchObject({
      line: 2,
      time: '2026-01-14T08:30Z',
      written: '68',
      value: 20,
    })
  })
})

describe('a fault in a row', () => {
  const good = '2026-01-14T08:30Z,s-air,20'
  it.each([
    ['no time', 'yesterday,s-air,20', 'time', 'time', /"yesterday" is not a time/, /2026-01-14 09:30/],
    ['a date that does not exist', '31.02.2026 08:30,s-air,20', 'time', 'time', /not a time/, /2026-01-14/],
    ['the 30th of February', '2026-02-30 08:30,s-air,20', 'time', 'time', /not a time/, /2026-01-14/],
    ['a missing time', ',s-air,20', 'time', 'time', /missing/, /2026-01-14/],
    ['a spreadsheet’s days', '46036.35,s-air,20', 'time', 'time', /no time in s since 1970/, /spreadsheet/],
    ['a foreign sensor', '2026-01-14T08:30Z,boiler,20', 'no such sensor', 'sensor', /"boiler"/, /id/],
    ['no sensor', '2026-01-14T08:30Z,,20', 'no such sensor', 'sensor', /missing/, /id/],
    ['no value', '2026-01-14T08:30Z,s-air,', 'value missing', 'value', /missing/, /leave the row out/],
    ['a word', '2026-01-14T08:30Z,s-air,warm', 'value', 'value', /"warm": not a number/, /bare number/],
    ['a decimal comma between commas', '2026-01-14T08:30Z,s-air,20,5', 'number of cells', '', /4 cells/, /semicolons/],
    [
      'the same, quoted',
      '2026-01-14T08:30Z,s-air,"20,5"',
      'value',
      'value',
      /not a number/,
      /decimal commas need semicolons/,
    ],
    ['below absolute zero', '2026-01-14T08:30Z,s-air,-300', 'value', 'value', /not a possible temperature/, /°C/],
    ['a number for a door', '2026-01-14T08:30Z,s-door,21', 'value', 'value', /not a state/, /open or closed/],
    ['a row cut short', '2026-01-14T08:30Z,s-a', 'number of cells', '', /2 cells below 3/, /as many cells/],
    ['an open quotation', '2026-01-14T08:30Z,"s-air,20', 'quotation', '', /do not match/, /one line/],
  ])(
    'is told with line, column, what and remedy, and costs that row only: %s',
    async (_name, row, kind, column, problem, remedy) => {
      const { readings, contents } = await recorded(`time,sensor,value\n${good}\n${row}\n${good}\n`)
      expect(contents.faults.kept).toHaveLength(1)
      const [fault] = contents.faults.kept
      expect(fault).toMatchObject({ line: 3, kind, column })
      expect(fault!.problem).toMatch(problem)
      expect(fault!.remedy).toMatch(remedy)
      expect(readings).toHaveLength(2)
      expect(contents).toMatchObject({ rows: 3, rowsRefused: 1, failed: false })
    },
  )

  it('costs one cell where each sensor has a column', async () => {
    const { readings, contents } = await recorded(
      'time,s-air,s-column\n2026-01-14T08:30Z,20,NaN\n2026-01-14T08:31Z,-,x\n',
    )
    expect(readings).toEqual([{ sensor: 's-air', at, value: 20 }])
    expect(contents).toMatchObject({ rows: 2, rowsRefused: 1, valuesRefused: 1 })
    expect(contents.faults.kept.map(f => [f.line, f.column])).toEqual([
      [2, 's-column'],
      [3, 's-air'],
      [3, 's-column'],
    ])
  })

  it('is refused when it is older than what is kept, or ahead of now', async () => {
    const { readings, contents } = await recorded(
      'time,s-air\n2026-01-14T08:29:59Z,20\n2026-01-14T08:30Z,20\n2026-01-14T08:31Z,20\n2026-01-14T08:31:01Z,20\n',
      { keptSince: () => at, now: () => at },
    )
    expect(readings.map(r => r.at - at)).toEqual([0, 60_000])
    expect(contents.faults.counts()).toEqual([
      { kind: 'older than the readings kept', count: 1 },
      { kind: 'time in the future', count: 1 },
    ])
  })

  it('is kept for the first of each kind only, and counted for all', async () => {
    const rows = Array.from({ length: 5000 }, (_, i) => `2026-01-14T08:30Z,boiler-${i},20\n`).join('')
    const { contents } = await recorded(`time,sensor,value\n${rows}soon,s-air,20\n`)
    expect(contents.faults.total).toBe(5001)
    expect(contents.faults.kept.length).toBeLessThan(100)
    expect(contents.faults.kept.at(-1)).toMatchObject({ line: 5002, kind: 'time' })
    expect(contents.unknown()).toHaveLength(51)
    expect(contents.unknown().reduce((sum, u) => sum + u.readings, 0)).toBe(5000)
  })
})

describe('a file that cannot be read', () => {
  it.each([
    ['nothing', '', /is empty/],
    ['headings only', 'time,s-air\n', /no row below/],
    ['no headings', '2026-01-14T08:30Z,20\n', /no column is headed "time"/],
    ['no sensor', 'time,humidity\n2026-01-14T08:30Z,45\n', /no column is headed by a sensor/],
    ['two times', 'time,timestamp,s-air\n', /several columns are times/],
    ['a sensor twice', 'time,s-air,t/s-air\n', /two columns are of s-air/],
    ['a foreign unit', 'time,s-air (bar)\n', /"bar" is no unit/],
    ['a temperature for a door', 'time,s-door (°C)\n', /tells open or shut/],
    ['a zone nobody knows', 'time (Mars),s-air\n', /"Mars" .* neither a zone/],
    ['two values', 'time,sensor,value,temperature\n', /two columns are headed as value/],
  ])('says why: %s', async (_name, text, problem) => {
    const { readings, contents } = await recorded(text)
    expect(readings).toEqual([])
    expect(contents.failed).toBe(true)
    expect(contents.faults.kept[0]!.problem).toMatch(problem)
    expect(contents.faults.kept[0]!.remedy.length).toBeGreaterThan(10)
  })

  it('is given up at a line that never ends', async () => {
    const { contents } = await recorded(`time,s-air\n2026-01-14T08:30Z,20\n${'x'.repeat(1_100_000)}`)
    expect(contents.failed).toBe(true)
    expect(contents.faults.kept[0]).toMatchObject({ line: 3 })
  })

  it('names the sensors that one name means', async () => {
    const two = [
      { ...shop.sensors[0]!, name: 'air' },
      { ...shop.sensors[1]!, name: 'air' },
    ]
    const { contents } = await recorded('time,air\n', { lookup: sensorLookup(two) })
    expect(contents.faults.kept[0]!.problem).toBe('"air" means several sensors: s-air, s-screw')
  })
})
