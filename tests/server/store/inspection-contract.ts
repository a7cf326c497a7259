import { expect, it } from 'vitest'
import type { Inspection, InspectionEntry } from '../../../core/inspection/index.js'
import type { InspectionSpan, Inspections } from '../../../server/store/inspections.js'

const start = Date.UTC(2026, 0, 14, 6)

/** A measured part. Every figure has digits that must come back. */
const inspectionOf = (said: Partial<InspectionEntry> = {}): InspectionEntry => ({
  part: 'Pump housing',
  serial: '',
  machine: 'mill-1',
  feature: 'bore distance',
  axis: null,
  longer: 'larger',
  cut: 'one side',
  zeroed: 'datum',
  nominal: 0.12,
  lower: null,
  upper: null,
  measured: 0.12000000000000001 + 4.250000000000001e-6,
  temperature: null,
  temperatureUncertainty: null,
  gauge: '',
  from: start,
  to: start,
  material: '',
  tool: '',
  toolCount: null,
  sequence: null,
  lot: '',
  setup: '',
  who: '',
  note: '',
  other: {},
  ...said,
})

const full = inspectionOf({
  serial: '17, "b"',
  axis: 'X',
  longer: 'smaller',
  cut: 'diameter',
  zeroed: 'each part',
  lower: 0.119989,
  upper: 0.120011,
  temperature: 23.5,
  temperatureUncertainty: 0.5,
  gauge: 'steel',
  to: start + 60_000,
  material: 'aluminium 6061',
  tool: 'T12',
  toolCount: 0,
  sequence: 3,
  lot: 'A',
  setup: '2',
  who: 'R. Iron',
  note: 'burr',
  other: { Gauge: 'CMM 2' },
})

/** What every store must do with parts that were measured. */
export const inspectionContract = (
  open: () => { store: { inspections: Inspections }; reopened: () => { inspections: Inspections } },
): void => {
  const read = async ({ inspections }: { inspections: Inspections }, asked?: InspectionSpan): Promise<Inspection[]> => {
    const found: Inspection[] = []
    for await (const together of inspections.of(asked)) found.push(...together)
    return found
  }

  it('are there again as they were entered, when the store is opened again', async () => {
    const { store, reopened } = open()
    await store.inspections.add(7, [inspectionOf(), full])
    const kept = await read(reopened())
    expect(kept).toEqual([
      { ...inspectionOf(), import: 7, id: expect.any(Number) },
      { ...full, import: 7, id: expect.any(Number) },
    ])
    expect(new Set(kept.map(({ id }) => id)).size).toBe(2)
  })

  it('come in order of their cut, by machine, part, feature, import and span', async () => {
    const { store } = open()
    const at = (minutes: number, said: Partial<InspectionEntry> = {}) =>
      inspectionOf({ from: start + minutes * 60_000, to: start + minutes * 60_000, serial: String(minutes), ...said })
    await store.inspections.add(1, [at(30), at(10), at(20, { machine: 'mill-2' })])
    await store.inspections.add(2, [at(15, { part: 'Lid' }), at(5, { feature: 'depth' })])
    const serials = async (asked?: InspectionSpan) => (await read(store, asked)).map(({ serial }) => serial)
    expect(await serials()).toEqual(['5', '10', '15', '20', '30'])
    expect(await serials({ machine: 'mill-1', from: start + 10 * 60_000, to: start + 30 * 60_000 })).toEqual([
      '10',
      '15',
    ])
    expect(await serials({ part: 'Lid' })).toEqual(['15'])
    expect(await serials({ feature: 'depth', machine: 'mill-1' })).toEqual(['5'])
    expect(await serials({ import: 1 })).toEqual(['10', '20', '30'])
    expect(await serials({ machine: 'nobody' })).toEqual([])
  })

  it('are as many as there are, also where thousands were cut at one and the same time', async () => {
    const { store } = open()
    const many = Array.from({ length: 1700 }, (_, i) => inspectionOf({ serial: String(i) }))
    await store.inspections.add(1, many)
    expect((await read(store)).map(({ serial }) => Number(serial))).toEqual(many.map((_, i) => i))
  })
}
