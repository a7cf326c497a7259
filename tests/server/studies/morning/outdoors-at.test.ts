import { expect, it } from 'vitest'
import type { PlannedJob } from '../../../../core/morning/index.js'
import { openStore } from '../../../../server/store/sqlite.js'
import { outdoorsAt } from '../../../../server/studies/morning/outdoors-at.js'
import { sensorEveryMinute } from '../../../core/machines.js'
import { temporaryFolder } from '../../../temporary-folder.js'
import { FakeMonitor, shop as plain } from '../../http/fakes.js'

const minute = 60_000
const hour = 60 * minute
/** Monday 2 March 2026, 06:00 UTC */
const now = Date.UTC(2026, 2, 2, 6)
const shop = {
  ...plain,
  sensors: ['yard', 'roof'].map(id => sensorEveryMinute(id, { kind: 'outdoors' as const })),
}
const job = (broughtIn: number) => ({ from: { kind: 'outdoors', broughtIn } }) as PlannedJob

/** −5 °C in the yard; on the roof the sun shines on the sensor, which was found out an hour before the part came in */
const lived = async () => {
  const store = openStore(temporaryFolder())
  for (let at = now - 6 * hour; at < now; at += minute)
    await store.append([
      { sensor: 'yard', at, value: at === now - 3 * hour ? 850 : -5, receivedAt: at },
      { sensor: 'roof', at, value: 25, receivedAt: at },
    ])
  await store.facts.record('trust', [
    {
      sensor: 'roof',
      at: now - 4 * hour,
      trust: 'suspect',
      since: now - 4 * hour,
      fault: { kind: 'never reported' },
      basis: { kind: 'reading' },
    },
  ])
  return { shop, store }
}

it('is what was believed when the part was brought in: no fault code, and no sensor that was found suspect', async () => {
  const past = await lived()
  expect(await outdoorsAt(past, new FakeMonitor(), job(now - 3 * hour), now)).toBeCloseTo(-5, 9)
  expect(await outdoorsAt(past, new FakeMonitor(), job(now - 5 * hour), now)).toBeCloseTo(10, 9)
})

it('is nothing where nothing was told, and the present one of a part that was just brought in', async () => {
  const past = await lived()
  const monitor = new FakeMonitor()
  expect(await outdoorsAt(past, monitor, job(now - 30 * hour), now)).toBeNull()
  expect(await outdoorsAt(past, monitor, job(now - minute), now)).toBe(monitor.shop().outdoors)
})
