import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { launchBrowser, openPage } from './browser.js'
import { sharedShop } from './live-shop.js'

let browser: Browser
beforeAll(async () => {
  browser = await launchBrowser()
})
afterAll(() => browser.close())

const online = sharedShop(Date.UTC(2026, 0, 14, 9, 0), 12)

describe('the sensors page', () => {
  it('shows when calibrations are due, the overdue one first, and keeps that order in the address', async () => {
    const shop = online()
    const { page, troubles } = await openPage(browser, `${shop.service.url}/sensors`)
    await page.getByRole('button', { name: 'Calibration due' }).click()
    await page.getByText('2025-12-31, overdue').waitFor()
    await page.reload()
    await page.getByText('2025-12-31, overdue').waitFor()
    const rows = await page.getByRole('table', { name: 'Sensors; the headings sort' }).getByRole('row').allInnerTexts()
    expect(rows[1]).toContain('2025-12-31, overdue')
    expect(rows[1]).toMatch(/its uncertainty counts 2\.0 times → Have it calibrated/)
    expect(rows[2]).toContain('2026-12-31')
    expect(rows[2]).not.toContain('overdue')
    await page.goto(`${shop.service.url}/machine/mill-1`)
    await page
      .getByText(/Calibration overdue: .* its uncertainty counts 2\.0 times/)
      .first()
      .waitFor()
    await page.goto(`${shop.service.url}/machine/mill-1/budget`)
    await page.getByRole('rowheader', { name: 'sensor calibration, overdue' }).waitFor()
    expect(troubles).toEqual([])
  }, 120_000)

  it('shows what devices tell of battery and signal; a low battery by word and shape', async () => {
    const shop = online()
    const { page, troubles } = await openPage(browser, `${shop.service.url}/sensors`)
    await page.getByText('1 battery low').waitFor()
    await page.getByRole('button', { name: 'Battery' }).click()
    const row = page.getByRole('row').filter({ hasText: 'Yard door air' })
    await row.getByText(/^1\d % low$/).waitFor()
    expect(await row.locator('.battery svg').count()).toBe(1)
    await row.getByText(/^−\d\d dBm$/).waitFor()
    const rows = await page.getByRole('table', { name: 'Sensors; the headings sort' }).getByRole('row').allInnerTexts()
    expect(rows[1]).toContain('Yard door air')
    // in V, above its threshold: no word about it, and no signal
    expect(rows[2]).toMatch(/Outdoors.*\s2\.9\d V\s/s)
    expect(rows[2]).not.toMatch(/low|dBm/)
    expect(rows[3]).not.toMatch(/ V\s|dBm| low/)
    expect(troubles).toEqual([])
  }, 120_000)
})
