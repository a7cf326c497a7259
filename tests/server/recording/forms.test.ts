import { describe, expect, it } from 'vitest'
import type { RecordingChoices } from '../../../core/facts.js'
import type { Shop } from '../../../core/shop.js'
import type { Reading } from '../../../server/ingest/reading.js'
import { Contents } from '../../../server/recording/contents.js'
import { lookThrough, noChoices, type Preview } from '../../../server/recording/look-through.js'
import { readRecording } from '../../../server/recording/read.js'
import { sensorLookup } from '../../../server/recording/sensor-names.js'
import { openStore } from '../../../server/store/sqlite.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { shop } from '../http/fakes.js'
import { degreesOf, type Form, first, forms, quarter } from './forms.js'
import { inPieces } from './recorded.js'

const now = Date.UTC(2026, 6, 1)

const storeWith = (readings: readonly Reading[] = []) => {
  const store = openStore(temporaryFolder())
  store.append(readings)
  return store
}

/** what the preview finds, and what an import as it stands there would store */
const previewed = async (
  bytes: Uint8Array,
  choices: Partial<RecordingChoices> | null = null,
  store = storeWith(),
  of: Shop = shop,
): Promise<{ preview: Preview; readings: { sensor: string; at: number; value: number }[] }> => {
  const open = () => inPieces(bytes, 777)
  const options = { lookup: sensorLookup(of.sensors), zone: of.timeZone, now: () => now }
  const said = choices && { ...noChoices, ...choices }
  const preview = await lookThrough(
    open,
    { shop: of, store, ...options },
    said,
    () => undefined,
    () => undefined,
  )
  const readings = []
  for await (const group of readRecording(open, { ...options, ...preview.reading }, new Contents()))
    for (const { sensor, at, value } of group) readings.push({ sensor: sensor.id, at, value })
  return { preview, readings }
}

const text = (csv: string) => new TextEncoder().encode(csv)

describe('a recording goes in without an edit by hand', () => {
  it('there are at least two dozen forms', () => {
    expect(forms.length).toBeGreaterThanOrEqual(24)
  })

  it.each(forms.map(form => [form.name, form] as [string, Form]))('%s', async (_name, form) => {
    const { preview, readings } = await previewed(form.bytes, form.choice ?? null)
    const { contents } = preview
    expect(contents.faults.kept).toEqual([])
    expect(contents.datesUnclear).toBe('')
    expect(contents.failed).toBe(false)
    const from = form.from ?? first
    expect(readings).toHaveLength(form.readings ?? 2)
    for (const [i, { sensor, at, value }] of readings.entries()) {
      expect([sensor, at]).toEqual(['s-air', from + i * quarter])
      expect(value).toBeCloseTo(degreesOf(i), 9)
    }
  })

  it.each(forms.filter(form => form.choice).map(form => [form.name, form] as [string, Form]))(
    'and would go in wrongly, or not at all, without the one choice: %s',
    async (_name, form) => {
      const { preview, readings } = await previewed(form.bytes)
      const from = form.from ?? first
      const asItIs =
        !preview.contents.failed &&
        preview.contents.datesUnclear === '' &&
        readings.length === 2 &&
        readings.every(({ at, value }, i) => at === from + i * quarter && Math.abs(value - degreesOf(i)) < 1e-9)
      expect(asItIs).toBe(false)
    },
  )
})

describe('what a preview asks and proposes', () => {
  it('names a date that nobody can tell', async () => {
    const { preview } = await previewed(text('time,s-air\n3/4/2026 08:30,20\n'))
    expect(preview.contents.datesUnclear).toBe('3/4/2026 08:30')
  })

  it('takes what lies ahead of now for the wrong order', async () => {
    const { preview, readings } = await previewed(text('time,s-air\n3/12/2026 08:30,20\n'))
    expect(preview.contents.datesUnclear).toBe('')
    expect(readings[0]!.at).toBe(Date.UTC(2026, 2, 12, 7, 30))
  })

  it('counts the error codes it leaves out, and takes them when somebody says that they are readings', async () => {
    const csv = text('time,s-air,s-screw\n2026-01-14 09:30,85,84\n2026-01-14 09:31,85,85\n2026-01-14 09:32,20,85\n')
    const { preview, readings } = await previewed(csv)
    // 85 among 84 is a temperature
    expect(preview.codes.map(({ sensor, code, readings }) => [sensor.id, code, readings])).toEqual([['s-air', 85, 2]])
    expect(preview.contents.codesLeftOut).toBe(2)
    expect(readings).toHaveLength(4)
    expect((await previewed(csv, { keepCodes: true })).readings).toHaveLength(6)
  })

  it('takes the sensor’s own unit where none is written', async () => {
    const fahrenheit: Shop = { ...shop, sensors: shop.sensors.map(s => (s.id === 's-air' ? { ...s, unit: '°F' } : s)) }
    const { preview, readings } = await previewed(
      text('time,s-air\n2026-01-14 09:30,74\n'),
      null,
      storeWith(),
      fahrenheit,
    )
    expect(readings[0]!.value).toBeCloseTo(23.333, 3)
    expect([...preview.contents.sensors.values()]).toMatchObject([{ unit: '°F', unitWritten: false }])
  })

  it('shows what contradicts what is stored, and what contradicts itself, before anything is stored', async () => {
    const at = first
    const store = storeWith([
      { sensor: 's-air', at, value: 20, receivedAt: at },
      { sensor: 's-air', at: at + 60_000, value: 21, receivedAt: at },
    ])
    const csv =
      'time,s-air\n2026-01-14 09:30,20\n2026-01-14 09:31,23\n2026-01-14 09:33,20\n2026-01-14 09:33,20\n2026-01-14 09:33,22\n'
    const { preview } = await previewed(text(csv), null, store)
    expect(preview.contradictions).toMatchObject({
      stored: 1,
      inFile: 1,
      examples: [
        { sensor: 's-air', at: at + 60_000, value: 23, before: 21, where: 'stored' },
        { sensor: 's-air', at: at + 180_000, value: 22, before: 20, where: 'earlier in the file' },
      ],
    })
    expect([...store.readings(0, now)].flat()).toHaveLength(2)
  })
})

describe('a logger that knows no summer time', () => {
  const day = 86_400_000
  const begin = Date.UTC(2026, 2, 26)
  /** K, an invented air that never does the same twice */
  const air = (at: number) => 20 + 1.5 * Math.sin((2 * Math.PI * at) / day) + 0.6 * Math.sin(at / 9_000_000)
  const times = Array.from({ length: 8 * 96 }, (_, i) => begin + i * quarter)
  // its clock stays an hour ahead of UTC, also after the 29th of March
  const csv = text(
    `time,s-air\n${times.map(at => `${new Date(at + 3_600_000).toISOString().slice(0, 16)},${air(at).toFixed(2)}\n`).join('')}`,
  )
  const beside: Shop = {
    ...shop,
    sensors: [...shop.sensors, { ...shop.sensors[0]!, id: 's-air-2', name: 'Beside', topic: 't/beside' }],
  }
  const stored = (of: (at: number) => number) =>
    storeWith(times.map(at => ({ sensor: 's-air-2', at, value: of(at) + 0.3, receivedAt: at })))

  it('is noticed by the hour by which file and stored air disagree after the change', async () => {
    const { preview } = await previewed(csv, null, stored(air), beside)
    expect(preview.clockOffset).toMatchObject({ offset: '+01:00', sensor: 's-air', with: 's-air-2' })
    expect(preview.clockOffset!.from).toBe(Date.UTC(2026, 2, 29, 1))
  })

  it('goes in rightly with one choice, and nothing is proposed any more', async () => {
    const { preview, readings } = await previewed(csv, { offset: '+01:00' }, stored(air), beside)
    expect(preview.clockOffset).toBeNull()
    expect(preview.contents.faults.total).toBe(0)
    expect(readings.map(({ at }) => at)).toEqual(times)
  })

  it('is noticed by rows in the hour that was left out, where nothing is stored beside it', async () => {
    const { preview } = await previewed(csv)
    expect(preview.clockOffset).toMatchObject({ offset: '+01:00', with: '' })
  })

  it('is not seen in a logger that was put forward', async () => {
    const right = text(
      `time,s-air\n${times
        .map(at => {
          const ahead = at < Date.UTC(2026, 2, 29, 1) ? 3_600_000 : 7_200_000
          return `${new Date(at + ahead).toISOString().slice(0, 16)},${air(at).toFixed(2)}\n`
        })
        .join('')}`,
    )
    expect((await previewed(right, null, stored(air), beside)).preview.clockOffset).toBeNull()
  })
})

describe('what was said of a recording', () => {
  it('is remembered for the next one with the same headings', async () => {
    const store = storeWith()
    const { kindOf } = await import('../../../server/recording/look-through.js')
    const choices = { ...noChoices, columns: { 'Kanal 1': 'sensor s-air' } }
    await store.facts.record('recording kind', [
      { at: now, by: 'Ada', note: '', headings: kindOf(['time', 'Kanal 1']), choices },
    ])
    const next = await previewed(text('time;Kanal 1\n2026-01-14 09:30;20,5\n'), null, store)
    expect(next.readings).toHaveLength(1)
    expect(next.preview).toMatchObject({ remembered: { by: 'Ada', at: now }, choices })
    expect((await previewed(text('time;Kanal 2\n2026-01-14 09:30;20,5\n'), null, store)).readings).toEqual([])
  })
})
