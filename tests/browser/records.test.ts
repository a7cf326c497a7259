import { expect, it } from 'vitest'
import { expectSound, openPage, pagesOf, settled } from './browser.js'
import { liveShop } from './live-shop.js'

const minute = 60_000
const quarter = 15 * minute
const day = 96 * quarter
/** three days of December in Vienna */
const from = Date.UTC(2025, 11, 9, 23)
const to = from + 3 * day

/** °C; 20, and once up to 25 by a quarter of a kelvin each quarter of an hour, five hours of that, and down again */
const warm = (at: number) => {
  const k = Math.floor((at - from) / quarter) - 100
  return 20 + 0.25 * Math.max(0, Math.min(k, 20, 59 - k))
}

it('shows the record of a machine and a month, as CSV and on paper, each machine on a page of its own', async () => {
  const shop = await liveShop(Date.UTC(2026, 0, 14, 9), { hours: 1 })
  await shop.live(2)
  const { service } = shop
  for (const sensor of ['mill-2-air', 'mill-2-x-screw'])
    service.store.append(
      Array.from({ length: (to - from) / minute }, (_, i) => {
        const at = from + i * minute
        return { sensor, at, value: warm(at), receivedAt: at }
      }),
    )

  const { page, troubles } = await openPage(`${service.url}/sensors`)
  await page.getByRole('link', { name: 'Records', exact: true }).click()
  // what has limits, with the hours outside in the last day, week and month
  const late = page.getByRole('table', { name: 'Hours outside limits' })
  await late.getByRole('link', { name: 'Fine room' }).waitFor()
  expect(await late.getByRole('row').count()).toBe(4)

  await page.getByLabel('Machine or area').selectOption('Mill 2')
  await page.getByRole('combobox', { name: 'Month' }).selectOption('December 2025')
  const record = page.getByRole('region', { name: 'Mill 2' })
  await record.getByText('Mon 1 Dec 2025 00:00 – Thu 1 Jan 2026 00:00, times of Europe/Vienna.').waitFor()
  const row = (name: string) =>
    record.getByRole('row').filter({ has: page.getByRole('rowheader', { name, exact: true }) })
  // above 24 °C from the 17th step up to the 17th from below: 26 quarters of an hour
  expect(await row('Band').innerText()).toMatch(/18\.0 °C to 24\.0 °C\s+6\.5 h\s+65\.5 h\s+672 h\s+1/)
  // 1 K/h at most, and nothing to compare the first hour with
  expect(await row('Rate').innerText()).toMatch(/2\.00 K\/h\s+0 h\s+71 h\s+673 h\s+0/)
  const excursion = record
    .getByRole('row')
    .filter({ hasText: 'Band' })
    .filter({ hasText: 'beyond' })
    .or(record.getByRole('table', { name: 'Every excursion' }).getByRole('row').filter({ hasText: 'Band' }))
  expect(await excursion.innerText()).toMatch(
    /Thu 11 Dec 2025 05:15 – 11:45\s+Band\s+6 h 30 min\s+25\.00 °C\s+1\.00 K\s+Mill 2 air/,
  )
  // what it rests on
  await record.getByText(/It rests on 8,640 readings of 7 sensors/).waitFor()
  const statistics = record
    .getByRole('table', { name: 'Minimum, maximum' })
    .getByRole('row')
    .filter({ hasText: 'Mill 2 air' })
  expect(await statistics.innerText()).toMatch(/20\.00 °C\s+25\.00 °C/)

  const [download] = await Promise.all([
    page.waitForEvent('download'),
    record.getByRole('link', { name: 'Excursions of Mill 2 as CSV' }).click(),
  ])
  expect(download.suggestedFilename()).toBe('mill-2-excursions.csv')

  // the address holds the choice
  await page.reload()
  await row('Band').waitFor()

  await page.emulateMedia({ media: 'print' })
  expect(await page.getByRole('navigation', { name: 'Pages' }).isVisible()).toBe(false)
  expect(await page.getByLabel('Machine or area').isVisible()).toBe(false)
  expect(await record.getByText('As CSV').isVisible()).toBe(false)
  expect(await record.getByText('Demo shop (invented): Mon 1 Dec').isVisible()).toBe(true)
  expect(pagesOf(await page.pdf({ format: 'A4', preferCSSPageSize: true }))).toBeLessThanOrEqual(3)
  await page.emulateMedia({ media: 'screen' })
  await page.getByLabel('Machine or area').selectOption('All, one after the other')
  const records = page.locator('.record')
  await expect.poll(() => page.getByText('It rests on').count()).toBe(await records.count())
  const count = await records.count()
  expect(count).toBeGreaterThan(10)
  await page.emulateMedia({ media: 'print' })
  const breaks = await records.evaluateAll(all => all.map(each => getComputedStyle(each).breakBefore))
  expect(breaks).toEqual(['auto', ...Array.from({ length: count - 1 }, () => 'page')])
  expect(pagesOf(await page.pdf({ format: 'A4' }))).toBeGreaterThanOrEqual(count)
  expect(troubles).toEqual([])

  for (const colorScheme of ['light', 'dark'] as const)
    for (const viewport of [
      { width: 1280, height: 900 },
      { width: 390, height: 844 },
    ]) {
      const address = `${service.url}/records?of=machine:mill-2&month=2025-12`
      const { page: shown } = await openPage(address, { viewport, colorScheme })
      await shown.getByText('It rests on').waitFor()
      await shown.getByRole('link', { name: 'Fine room' }).waitFor()
      await settled(shown)
      await expectSound(shown, `${viewport.width} px, ${colorScheme}`)
    }
})
