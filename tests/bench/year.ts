import { cpSync, existsSync } from 'node:fs'
import { join } from 'node:path'
import { highest } from '../../core/statistics/index.js'
import { databaseFile } from '../../server/store/database.js'
import { openStore } from '../../server/store/sqlite.js'
import { valueAt } from './publishing.js'
import type { BenchSensor } from './shop-text.js'

const minute = 60_000
const day = 1440 * minute
/** a year every ten minutes, its last fortnight every minute: what charts, studies and identification look back over */
const filling = { year: { days: 365, every: 10 * minute }, fortnight: { days: 14, every: minute } }

/** °C of a sensor, as smooth as a machine's */
export const temperatureOf = (sensor: number, at: number): number => valueAt(at / minute / 4 + 90 * sensor)

/** Stores a year of readings, the last fortnight every minute, and some measurements. */
const fill = async (folder: string, sensors: readonly BenchSensor[]): Promise<void> => {
  const store = openStore(folder)
  const end = Math.floor(Date.now() / minute) * minute
  const fine = end - filling.fortnight.days * day
  let group: { sensor: string; at: number; value: number; receivedAt: number }[] = []
  const commit = (now: number) => {
    store.append(group)
    group = []
    while (store.sealSome(now));
  }
  for (let at = end - filling.year.days * day; at < end; ) {
    for (const [i, { id }] of sensors.entries())
      group.push({ sensor: id, at: at + 7 * i, value: temperatureOf(i, at), receivedAt: at + 7 * i + 50 })
    if (group.length >= 20_000) commit(at)
    at += at < fine ? filling.year.every : filling.fortnight.every
  }
  commit(end)
  for (let i = 0; i < 200; i++)
    await store.facts.record('measurement', [
      {
        machine: 'mill-0',
        axis: 'X',
        position: 0.3,
        zeroAt: end - (2 + (i % 40)) * day,
        at: end - (2 + (i % 40)) * day + (1 + i / 40) * 60 * minute,
        value: 5e-6,
        uncertainty: 5e-7,
        enteredAt: end,
        by: 'bench',
        note: '',
      },
    ])
  store.noteDay(end)
  store.close()
}

/** What a year that was kept lacks since it was filled: sensors that were silent for so long would not be believed. */
export const fillUp = (folder: string, sensors: readonly BenchSensor[]): void => {
  const store = openStore(folder)
  const last = highest(store.latest().map(({ at }) => at))
  for (let at = Math.ceil(last / minute) * minute; at < Date.now() - minute; at += minute)
    store.append(
      sensors.map(({ id }, i) => ({
        sensor: id,
        at: at + 7 * i,
        value: temperatureOf(i, at),
        receivedAt: at + 7 * i + 50,
      })),
    )
  store.close()
}

/** A year in a service's folder: filled now, or a copy of one that is kept, which is filled when it is not there yet. */
export const fillYear = async (folder: string, sensors: readonly BenchSensor[], kept = folder): Promise<void> => {
  if (!existsSync(join(kept, databaseFile))) {
    console.error('  filling a year …')
    await fill(kept, sensors)
  }
  if (kept !== folder) cpSync(kept, folder, { recursive: true })
}
