import { expect, it } from 'vitest'
import { randomStream } from '../../simulators/random.js'
import { openPage } from './browser.js'
import { sharedShop } from './live-shop.js'

const hour = 3_600_000
const start = Date.UTC(2026, 0, 14, 9, 0)
const from = start - 48 * hour
const to = from + 2 * hour
/** K; what three sensors in one box are off by */
const off = { 'mill-1-x-screw': 0.3, 'mill-1-y-screw': 0, 'mill-1-z-screw': -0.02 }

const online = sharedShop(start, 12, { hours: 1 })

it('checks sensors that were together, puts an accepted correction in force, and takes it back', async () => {
  const shop = online()
  const { service } = shop
  const draws = randomStream(4, 'box')
  for (const [sensor, error] of Object.entries(off))
    service.store.append(
      Array.from({ length: 2 * 360 }, (_, i) => {
        const at = from + i * 10_000
        return { sensor, at, value: 20 + error + 0.02 * draws.normal(), receivedAt: at }
      }),
    )
  const value = () => shop.service.monitor.sensors().find(s => s.sensor === 'mill-1-x-screw')!.value!
  const before = value()

  const iso = (moment: number) => new Date(moment).toISOString()
  const { page, troubles } = await openPage(`${service.url}/sensors`)
  await page.getByRole('link', { name: 'Calibration', exact: true }).click()
  await page.getByRole('heading', { name: 'Common-temperature check' }).waitFor()
  await page.getByText('Choose three sensors at least').waitFor()
  await page.goto(`${service.url}/calibration?from=${iso(from)}&to=${iso(to)}`)
  for (const name of ['Mill 1 X screw', 'Mill 1 Y screw', 'Mill 1 Z screw']) await page.getByLabel(name).check()
  const result = page.getByRole('region', { name: 'Result' })
  await result.getByText('Still enough').waitFor()
  const row = result.getByRole('row').filter({ has: page.getByRole('rowheader', { name: 'Mill 1 X screw' }) })
  expect(await row.innerText()).toMatch(/\+0\.(29|30)\d ± 0\.0\d\d K\s+reads high\s+0\.000 K\s+−0\.(29|30)\d K/)

  // the choice is in the address
  await page.reload()
  await row.getByRole('button').click()
  const dialog = page.getByRole('dialog')
  await dialog.getByLabel('Who').fill('A. Tester')
  await dialog.getByLabel('Where they were together').selectOption('box')
  await dialog.getByLabel('Note').fill('in the box on the surface plate')
  await dialog.getByRole('button', { name: 'Accept', exact: true }).click()
  await result.getByText('The new offset is in force.').waitFor()
  const [change] = await service.store.facts.of('offset')
  expect(change).toMatchObject({ sensor: 'mill-1-x-screw', by: 'A. Tester', oldOffset: 0, found: { from, to } })
  expect(Math.abs(change!.newOffset + 0.3)).toBeLessThan(0.01)
  expect(value() - before).toBeCloseTo(change!.newOffset, 9)
  const record = page.getByRole('region', { name: 'Old and new values' })
  await record.getByText('in the box on the surface plate').waitFor()
  // what was corrected agrees now
  await row.getByText('agrees').waitFor()

  // a new start of the service knows it
  await service.stop()
  await shop.startAgain()
  expect(value() - before).toBeCloseTo(change!.newOffset, 9)
  await page.reload()
  await record.getByRole('button', { name: 'Take back the offset of Mill 1 X screw' }).click()
  await dialog.getByLabel('Why').fill('the box stood in the sun')
  await dialog.getByRole('button', { name: 'Take back', exact: true }).click()
  await result.getByText('The offset that held before is in force again.').waitFor()
  expect(value()).toBeCloseTo(before, 9)
  expect(await shop.service.store.facts.of('offset')).toMatchObject([change!, { takesBack: change!.id, newOffset: 0 }])
  await row.getByText('reads high').waitFor()
  expect(troubles).toEqual([])
})

it('offers nothing for sensors of two machines that moved with them, and says what was seen', async () => {
  const shop = online()
  const { service } = shop
  const draws = randomStream(6, 'mounted')
  // not the hours of the test before
  const [from, to] = [start - 24 * hour, start - 22 * hour]
  // two machines at the same temperature, each swaying by 0.08 K in its own time
  const sways = { 'mill-1': 5e-7, 'mill-2': 9e-7 }
  for (const machine of ['mill-1', 'mill-2'] as const)
    for (const place of ['x-screw', 'y-screw', 'z-screw'])
      service.store.append(
        Array.from({ length: 2 * 360 }, (_, i) => {
          const at = from + i * 10_000
          const value = 20 + (place === 'x-screw' ? 0.2 : 0) + 0.08 * Math.sin(at * sways[machine])
          return { sensor: `${machine}-${place}`, at, value: value + 0.02 * draws.normal(), receivedAt: at }
        }),
      )
  const iso = (moment: number) => new Date(moment).toISOString()
  const chosen = 'mill-1-x-screw,mill-1-y-screw,mill-2-x-screw,mill-2-y-screw'
  const { page, troubles } = await openPage(
    `${service.url}/calibration?from=${iso(from)}&to=${iso(to)}&sensors=${chosen}`,
  )
  const result = page.getByRole('region', { name: 'Result' })
  await result.getByText('Still enough').waitFor()
  await result.getByText('Not taken off').waitFor()
  await result
    .getByText(/^Mill 1 X screw moved by 0\.\d+ K against the others, just as Mill 1 [YZ] screw did$/)
    .waitFor()
  expect(await result.getByRole('button', { name: /Accept/ }).count()).toBe(0)
  expect(troubles).toEqual([])
})
