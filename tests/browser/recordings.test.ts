import { readFileSync } from 'node:fs'
import type { Page } from 'playwright-core'
import { expect, it } from 'vitest'
import { importsOf } from '../../server/recording/imports.js'
import { expectAccessible, expectSound, openPage } from './browser.js'
import { liveShop, sharedShop } from './live-shop.js'

const hour = 3_600_000
const start = Date.UTC(2026, 0, 14, 3, 0)

const online = sharedShop(start, 0, { hours: 2 })

/** a night of two sensors a week before, °F and semicolons, with three faults in it */
const night = (rows: number): string => {
  const from = start - 7 * 24 * hour
  const lines = Array.from({ length: rows }, (_, i) => {
    const time = new Date(from + i * 10_000).toISOString()
    return `${time};${(68 + (i % 30) / 16).toFixed(3).replace('.', ',')};20,25;45`
  })
  lines.splice(
    3,
    0,
    'soon;68,0;20,25;45',
    `${new Date(from + 1).toISOString()};warm;20,25;45`,
    '2019-01-01T00:00Z;68;20;45',
  )
  return `time;mill-2-x-screw (°F);mill-2-air;humidity\r\n${lines.join('\r\n')}\r\n`
}

const choose = async (page: Page, text: string, name = 'night.csv') => {
  await page
    .getByLabel(/^Recording, a CSV file/)
    .setInputFiles({ name, mimeType: 'text/csv', buffer: Buffer.from(text) })
  await page.getByRole('button', { name: 'Show what is in it' }).click()
}

it('shows what is in a recording, imports it with progress, and says what was added and left out', async () => {
  const shop = online()
  const { page, troubles } = await openPage(`${shop.service.url}/sensors`, {
    viewport: { width: 390, height: 844 },
  })
  await page.getByRole('link', { name: 'Recordings' }).click()
  await page.getByRole('heading', { name: 'Recordings', exact: true }).waitFor()
  await page.getByText('No recording has been chosen yet.').waitFor()

  const before = [...shop.service.store.readings(0, start - 10 * hour)].flat().length
  await choose(page, night(20_000))
  await page.getByRole('heading', { name: 'What is in night.csv' }).waitFor()
  // until then it is still looked through
  await page.getByRole('button', { name: 'Import 40001 readings …' }).waitFor()
  const row = page.getByRole('row').filter({ has: page.getByRole('rowheader', { name: 'mill-2-x-screw (°F)' }) })
  // 68 °F is 20 °C
  expect(await row.innerText()).toMatch(/°F\s+20000\s+20\.00 °C/)
  await page.getByText('"soon" is not a time').waitFor()
  await page.getByText('humidity (no sensor of the shop has this id, name or topic)').waitFor()
  await page.getByRole('row').filter({ hasText: '"warm": not a number' }).waitFor()
  await page.getByRole('row').filter({ hasText: 'older than the readings that are kept' }).waitFor()
  await expectSound(page)
  expect([...shop.service.store.readings(0, start - 10 * hour)].flat()).toHaveLength(before)

  await page.getByRole('button', { name: 'Import 40001 readings …' }).click()
  const dialog = page.getByRole('dialog')
  await dialog.getByText('2 rows and 1 single value left out').waitFor()
  await dialog.getByLabel('Who').fill('A. Tester')
  await dialog.getByRole('button', { name: 'Import 40001 readings' }).click()
  await page.getByText(/night\.csv was imported by A\. Tester: 40001 readings added, 0 were there before/).waitFor()
  expect([...shop.service.store.readings(0, start - 10 * hour)].flat()).toHaveLength(before + 40_001)

  // once more: nothing is added
  await choose(page, night(20_000))
  await page.getByRole('button', { name: 'Import 40001 readings …' }).click()
  await page.getByRole('dialog').getByRole('button', { name: 'Import 40001 readings' }).click()
  await page.getByText(/0 readings added, 40001 were there before and stay as they were/).waitFor()
  const imports = page.getByRole('region', { name: 'Imported so far' })
  await imports.getByRole('row').filter({ hasText: '40001' }).nth(1).waitFor()
  expect(await importsOf(shop.service.store, 5)).toMatchObject([
    { by: 'A. Tester', file: 'night.csv', ended: { added: 0, alreadyThere: 40_001, problem: '' } },
    { by: 'A. Tester', file: 'night.csv', ended: { added: 40_001, rowsRefused: 2, valuesRefused: 1 } },
  ])
  expect(troubles).toEqual([])
})

it('says of a file that cannot be read why, and offers no import', async () => {
  const shop = online()
  const { page } = await openPage(`${shop.service.url}/recordings`)
  await choose(page, 'temperature\n20\n', 'odd.csv')
  await page.getByText('This file cannot be read').waitFor()
  await page.getByText('no column is headed "time"').waitFor()
  expect(await page.getByRole('button', { name: /^Import / }).count()).toBe(0)
  await page.getByRole('button', { name: 'Forget it' }).click()
  await page.getByText('No recording has been chosen yet.').waitFor()
})

it('gives the readings of chosen sensors as a file that it takes back', async () => {
  const shop = online()
  const { page } = await openPage(`${shop.service.url}/recordings`)
  await page.getByLabel(/^Sensors; none chosen/).selectOption(['mill-2-x-screw', 'mill-2-air'])
  const download = page.waitForEvent('download')
  await page.getByRole('link', { name: 'Readings of 2 chosen as CSV' }).click()
  const text = readFileSync(await (await download).path(), 'utf8')
  const rows = text.trim().split('\r\n').slice(1)
  // of two sensors, for two hours every two minutes
  expect(rows.length).toBe(2 * 2 * 30)
  expect(new Set(rows.map(row => row.split(',')[1]))).toEqual(new Set(['mill-2-x-screw', 'mill-2-air']))
  await choose(page, text, 'back.csv')
  await page.getByRole('button', { name: `Import ${rows.length} readings …` }).waitFor()
})

it('asks what nobody can tell of a file, remembers the answer, and takes a whole import back', async () => {
  const shop = await liveShop(start, { hours: 1 })
  const { page, troubles } = await openPage(`${shop.service.url}/recordings`)
  const stored = () => [...shop.service.store.readings(0, start - 24 * hour)].flat().length
  const before = stored()
  // the 2nd of January, or the 1st of February 2025; −127 is no temperature of a hall
  const csv = (day: number) =>
    `Logger 4711\r\nNo.;Datum;Uhrzeit;Kanal 1\r\n${[20.5, -127, 20.75, -127]
      .map((value, i) => `${i + 1};${day}/1/2026;08:${10 + i};${String(value).replace('.', ',')}`)
      .join('\r\n')}\r\n`
  await choose(page, csv(2), 'logger.csv')
  await page.getByText('This file cannot be read').waitFor()
  await page.getByLabel('What Kanal 1 is').selectOption({ label: 'Mill 2 X screw' })
  await page.getByRole('button', { name: 'Read it so' }).click()
  await page.getByText('Looks like an error code of the device: -127 (2 times, Mill 2 X screw)').waitFor()
  await page.getByRole('cell', { name: '°C, the sensor’s own: 74 means 74.0 °C' }).waitFor()
  await page.getByText('Columns and what they are, headed in line 2').click()
  await expectAccessible(page)
  // what was said of a column and not read so yet is not imported
  const button = page.getByRole('button', { name: 'Import 2 readings …' })
  await page.getByLabel('What Kanal 1 is').selectOption({ label: 'Mill 2 Y screw' })
  await expect.poll(() => button.isDisabled()).toBe(true)
  await page.getByLabel('What Kanal 1 is').selectOption({ label: 'Mill 2 X screw' })
  await expect.poll(() => button.isDisabled()).toBe(false)
  await button.click()
  await page.getByRole('dialog').getByLabel('Who').fill('A. Tester')
  await page.getByRole('dialog').getByRole('button', { name: 'Import 2 readings' }).click()
  await page.getByText(/logger\.csv was imported by A\. Tester: 2 readings added/).waitFor()
  expect(stored()).toBe(before + 2)

  // the next one of its kind needs no word
  await choose(page, csv(3), 'next.csv')
  await page.getByText(/Read as A\. Tester said on .* of a recording with the same headings/).waitFor()
  await page.getByRole('button', { name: 'Import 2 readings …' }).waitFor()

  await page.getByRole('button', { name: 'Take back …' }).click()
  await page.getByRole('dialog').getByLabel('Note: why').fill('wrong sensor')
  await page.getByRole('dialog').getByRole('button', { name: 'Take 2 readings back' }).click()
  await page.getByText(/taken back by A\. Tester/).waitFor()
  await expect.poll(stored).toBe(before)
  expect(troubles).toEqual([])
})
