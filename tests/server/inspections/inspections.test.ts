import { describe, expect, it } from 'vitest'
import { importedAnswer, inspectionPreview, inspectionsAnswer } from '../../../server/http/schemas/inspections.js'
import { serveShop } from './serving-shop.js'

const headings =
  'Part,Serial,Machine,Feature,Axis,Nominal (mm),Lower limit,Upper limit,Measured (mm),Time,Tool,Lot,Colour'
const good = 'Housing,1,Mill,bore distance,X,120,-0.011 mm,+0.011 mm,120.004,2026-02-27 09:30,T1,A,red'
const table = (...rows: string[]) => `${[headings, ...rows].join('\n')}\n`
const stored = (body: unknown) => inspectionsAnswer.parse(body).inspections

describe('a table of measured parts', () => {
  it('is looked through without being stored, then taken, listed, and taken back as a whole', async () => {
    const { get, send, sendTable } = await serveShop()
    const csv = table(good, good.replace('1,Mill', '2,mill').replace('120.004', '120.013'))
    const preview = await sendTable('inspections/preview', csv)
    expect(preview.status).toBe(200)
    expect(inspectionPreview.parse(preview.body)).toMatchObject({
      readable: true,
      missing: [],
      rows: 2,
      good: 2,
      refused: 0,
      faults: [],
      from: Date.UTC(2026, 1, 27, 8, 30),
    })
    expect(preview.body.columns.map((column: { use: string }) => column.use)).toContain('kept beside')
    expect(stored((await get('inspections')).body)).toEqual([])

    const taken = await sendTable('inspections/import', csv, { by: 'Ada', file: 'week.csv' })
    expect(taken.status).toBe(201)
    expect(importedAnswer.parse(taken.body).import).toMatchObject({ file: 'week.csv', ended: { added: 2, refused: 0 } })
    const [second, first] = stored((await get('inspections?machine=mill')).body)
    expect(first).toMatchObject({
      part: 'Housing',
      serial: '1',
      machine: 'mill',
      axis: 'X',
      nominal: 0.12,
      lower: expect.closeTo(0.119989, 9),
      upper: expect.closeTo(0.120011, 9),
      measured: expect.closeTo(0.120004, 9),
      tool: 'T1',
      other: { Colour: 'red' },
    })
    expect(second!.serial).toBe('2')
    const { body: there } = await get('inspections/features')
    expect(there.features).toEqual([expect.objectContaining({ feature: 'bore distance', inspections: 2, rejects: 1 })])

    // the same once more is not doubled
    const again = await sendTable('inspections/import', csv, { by: 'Ada' })
    expect(again).toMatchObject({ status: 409, body: { error: { what: 'All 2 rows are on record already.' } } })

    const { id } = taken.body.import
    expect((await send(`inspections/imports/${id}/take-back`, { by: 'Ada' })).status).toBe(200)
    expect(stored((await get('inspections')).body)).toEqual([])
    expect((await send(`inspections/imports/${id}/take-back`, { by: 'Ada' })).status).toBe(409)
    expect((await get('inspections/imports')).body.imports).toMatchObject([{ id, takenBack: { by: 'Ada' } }])
    // and can be taken anew
    expect((await sendTable('inspections/import', csv, { by: 'Ada' })).status).toBe(201)
  })

  it('has good rows taken and every fault of the others told, with row, column, reason and remedy', async () => {
    const { get, sendTable } = await serveShop()
    const csv = table(
      good,
      good.replace('Mill', 'Mil'),
      good.replace(',X,', ',Q,').replace('120.004', 'abc'),
      good.replace('120.004', '12.0004'),
      good.replace('2026-02-27 09:30', '2027-02-27 09:30'),
      good.replace('2026-02-27 09:30', '2025-03-30 02:30'),
      good.replace('Housing,1', 'Housing,"1'),
      good.replace('T1', 'T1,T2'),
      good.replace('-0.011 mm,+0.011 mm', '0.011 mm,-0.011 mm'),
    )
    const { body } = await sendTable('inspections/preview', csv)
    expect(body).toMatchObject({ rows: 9, good: 1, refused: 8 })
    const told = body.faults.map((f: { line: number; column: string }) => [f.line, f.column])
    expect(told).toEqual([
      [3, 'Machine'],
      [4, 'Axis'],
      [4, 'Measured (mm)'],
      [5, 'Measured (mm)'],
      [6, 'Time'],
      [7, 'Time'],
      [8, ''],
      [9, ''],
      [10, 'Lower limit'],
    ])
    expect(body.faults[0]).toMatchObject({
      problem: '"Mil" is not a machine of this shop',
      remedy: 'did you mean Mill?',
    })
    expect(body.faults[5].problem).toMatch(/does not exist/)
    const taken = await sendTable('inspections/import', csv, { by: 'Ada', file: 'week.csv' })
    expect(taken.body.import.ended).toMatchObject({ added: 1, refused: 8 })
    expect(taken.body.refused).toHaveLength(9)
    expect(stored((await get('inspections')).body)).toHaveLength(1)
  })

  it('has its headings below a title that a spreadsheet filled up with empty cells, whatever their language', async () => {
    const { sendTable } = await serveShop()
    const csv = 'Prüfprotokoll;;;;;\nTeil;Maschine;Merkmal;Nennmaß;Istmaß;Schnitt\nWelle;Mill;Breite;80,0;80,001;x\n'
    const { body } = await sendTable('inspections/preview', csv)
    expect(body.columns.map((column: { heading: string }) => column.heading)).toEqual(
      'Teil Maschine Merkmal Nennmaß Istmaß Schnitt'.split(' '),
    )
    expect(body.rows).toBe(1)
  })
  it('may have decimal commas, other headings, inches, dates in numbers and lines above, once somebody says what is what', async () => {
    const { get, sendTable } = await serveShop()
    const csv = [
      'Report of week 9',
      'Teil;Maschine;Merkmal;Soll;Ist;geschnitten',
      'Deckel;Mill;Tiefe;4,7244;4,72451;2/27/2026 9:30 am',
      'Deckel;Mill;Tiefe;4,7244;4,72462;2/27/2026 10:30 am',
    ].join('\r\n')
    const { body } = await sendTable('inspections/preview', csv)
    expect(body.missing).toEqual(['part', 'machine', 'feature', 'nominal', 'measured', 'time'])
    expect(body.good).toBe(0)
    const choices = JSON.stringify({
      columns: {
        Teil: 'part',
        Maschine: 'machine',
        Merkmal: 'feature',
        Soll: 'nominal',
        Ist: 'measured',
        geschnitten: 'time',
      },
      constants: { 'lower limit': '-0.0004', 'upper limit': '0.0004', material: 'aluminium 6061', width: '10 min' },
      unit: 'in',
    })
    const said = await sendTable('inspections/preview', csv, { choices })
    expect(said.body).toMatchObject({ decimalComma: true, missing: [], good: 2, refused: 0, datesUnclear: '' })
    await sendTable('inspections/import', csv, { choices, by: 'Ada' })
    const [, first] = stored((await get('inspections')).body)
    expect(first).toMatchObject({
      nominal: expect.closeTo(0.11999976, 9),
      measured: expect.closeTo(0.120002554, 9),
      upper: expect.closeTo(0.11999976 + 0.00001016, 9),
      material: 'aluminium 6061',
      from: Date.UTC(2026, 1, 27, 8, 25),
      to: Date.UTC(2026, 1, 27, 8, 35),
    })
    // the next table of its kind is read so without a word
    const next = await sendTable('inspections/preview', csv.replaceAll('2/27/2026', '2/26/2026'))
    expect(next.body).toMatchObject({ good: 2, remembered: { by: 'Ada' }, choices: { unit: 'in' } })
  })

  it('is told to be none where it is none', async () => {
    const { get, sendTable } = await serveShop()
    for (const [hopeless, problem] of [
      ['', /the file is empty/],
      ['hello', /no line of headings/],
      [headings, /no row below the headings/],
      [new Uint8Array([0x50, 0x4b, 3, 4, 0, 0, 0xff, 0xfe, 0, 44, 0]), /no text that can be read|no line of headings/],
    ] as const) {
      const { status, body } = await sendTable('inspections/preview', hopeless)
      expect(status).toBe(200)
      expect(body.readable).toBe(false)
      expect(body.faults[0].problem).toMatch(problem)
      const taken = await sendTable('inspections/import', hopeless, { by: 'Ada' })
      expect(taken.status).toBe(400)
      expect(taken.body.error.what).toMatch(problem)
    }
    const noUnit = 'part,machine,feature,nominal,measured,time\nLid,Mill,d,120,120.004,2026-02-27 09:30\n'
    expect((await sendTable('inspections/preview', noUnit)).body).toMatchObject({
      unitUnclear: true,
      good: 0,
      refused: 1,
    })
    expect((await get('inspections/imports')).body.imports).toEqual([])
  })
})

describe('a single measured part', () => {
  const one = {
    part: 'Lid',
    machine: 'Mill',
    feature: 'depth',
    nominal: '40 mm',
    tolerance: '±0.01 mm',
    deviation: '12 µm',
    time: '2026-02-27 09:30',
    cut: 'both sides',
  }
  it('is entered as people write it, once', async () => {
    const { get, send } = await serveShop()
    expect((await send('inspections', { by: 'Ada', one })).status).toBe(201)
    const [found] = stored((await get('inspections')).body)
    expect(found).toMatchObject({
      nominal: 0.04,
      measured: expect.closeTo(0.040012, 12),
      cut: 'both sides',
      axis: null,
    })
    expect((await send('inspections', { by: 'Ada', one })).status).toBe(409)
  })
  it('is refused with what is wrong and what would be right', async () => {
    const { send } = await serveShop()
    const { status, body } = await send('inspections', {
      by: 'Ada',
      one: { ...one, time: 'yesterday', deviation: '12' },
    })
    expect(status).toBe(400)
    expect(body.error.what).toMatch(/"yesterday" is not a time.*has no unit/)
    expect(body.error.remedy).toMatch(/Nothing was stored/)
  })
})
