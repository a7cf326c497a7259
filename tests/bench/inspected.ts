import type { InspectionEntry } from '../../core/inspection/index.js'
import type { FactEntry } from '../../server/store/fact-kinds.js'
import { openStore } from '../../server/store/sqlite.js'

const hour = 3_600_000
const day = 24 * hour
const featuresEach = 8
const together = 500

/** a small generator of its own (a linear congruential one), so that every run sees the same data */
const random = (() => {
  let state = 1
  return () => {
    state = (state * 1664525 + 1013904223) % 2 ** 32
    return state / 2 ** 32
  }
})()

const inspectionAt = (i: number, at: number, machines: number): InspectionEntry => {
  const feature = Math.floor(i / machines) % featuresEach
  const nominal = 0.05 + 0.04 * feature
  return {
    part: `Part ${feature % 3}`,
    serial: String(i),
    machine: `mill-${i % machines}`,
    feature: `length ${feature}`,
    axis: feature % 2 ? 'Z' : 'X',
    longer: 'larger',
    cut: 'one side',
    zeroed: 'datum',
    nominal,
    lower: nominal - 12e-6,
    upper: nominal + 12e-6,
    measured: nominal + 8e-6 * (random() + random() + random() - 1.5),
    temperature: null,
    temperatureUncertainty: null,
    gauge: '',
    from: at,
    to: at + 5 * 60_000,
    material: 'aluminium 6061',
    tool: `T${1 + (i % 5)}`,
    toolCount: Math.floor(i / machines) % 40,
    sequence: i,
    lot: `lot ${Math.floor(i / 5000)}`,
    setup: '',
    who: i % 2 ? 'A' : 'B',
    note: '',
    other: {},
  }
}

/**
 * Puts measured parts on record, spread over a year's working hours on all machines, with a datum each morning and six
 * verdicts a day of each machine.
 */
export const inspected = async (folder: string, count: number, machines: number): Promise<void> => {
  const store = openStore(folder)
  const now = Date.now()
  const from = Math.floor((now - 364 * day) / day) * day
  const [begun] = await store.facts.record('inspection import', [{ at: now, by: 'bench', note: '', file: 'year.csv' }])
  for (let i = 0; i < count; i += together)
    store.inspections.add(
      begun!.id,
      Array.from({ length: Math.min(together, count - i) }, (_, k) => {
        const at = (363 * (i + k)) / count
        return inspectionAt(i + k, Math.round(from + Math.floor(at) * day + 6 * hour + 9 * hour * (at % 1)), machines)
      }),
    )
  await store.facts.record('inspection import ended', [
    { file: 'year.csv', import: begun!.id, at: now, added: count, alreadyThere: 0, rowsRefused: 0 },
  ])
  for (let m = 0; m < machines; m++) {
    const machine = `mill-${m}`
    const datums: FactEntry<'datum'>[] = []
    const verdicts: FactEntry<'verdict'>[] = []
    for (let at = from; at < now - day; at += day) {
      const temperatures = Object.fromEntries(
        ['air', ...Array.from({ length: 9 }, (_, n) => `node-${n + 1}`)].map(node => [node, 20 + random()]),
      )
      datums.push({ machine, at: at + 6 * hour, by: 'bench', note: '', temperatures })
      for (let k = 0; k < 6; k++)
        verdicts.push({
          machine,
          workClass: 'bores',
          at: at + 6 * hour + k * 1.5 * hour,
          verdict: (['fit', 'settling', 'unfit'] as const)[Math.floor(3 * random())]!,
          thermalErrorIndex: 20,
          reason: null,
        })
    }
    await store.facts.record('datum', datums)
    await store.facts.record('verdict', verdicts)
  }
  store.close()
}
