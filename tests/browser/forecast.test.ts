import { describe, expect, it } from 'vitest'
import { openPage } from './browser.js'
import { sharedShop } from './live-shop.js'

/** a winter night with the heating set back */
const online = sharedShop(Date.UTC(2026, 0, 14, 1, 0), 12)

describe('what lies ahead of a machine', () => {
  it('answers a plan for the heating with ready times, and keeps the plan in the address', async () => {
    const shop = online()
    const { page, troubles } = await openPage(`${shop.service.url}/machine/mill-2/ahead`)
    const ahead = page.getByRole('region', { name: 'Ahead' })
    const row = ahead.getByRole('row', { name: /Close bores/ })
    await row.getByText('no time within 72 h can be named').waitFor()

    await ahead.getByLabel('At', { exact: true }).fill('05:00')
    await ahead.getByLabel(/the air here goes to/).fill('20.5')
    await ahead.getByRole('button', { name: 'Add to the plan' }).click()
    await ahead.getByText(/from 05:00 the air goes to 20.5 °C/).waitFor()
    await row
      .getByText(/^\d\d:\d\d$/)
      .first()
      .waitFor()
    expect(new URL(page.url()).searchParams.get('plan')).toMatch(/,20\.5$/)

    await page.reload()
    await ahead.getByText(/from 05:00 the air goes to 20.5 °C/).waitFor()
    await ahead.getByRole('button', { name: 'Take out' }).click()
    await row.getByText('no time within 72 h can be named').waitFor()
    expect(troubles).toEqual([])
  })

  it('says what is wrong with a plan that cannot be read', async () => {
    const shop = online()
    const { page } = await openPage(`${shop.service.url}/machine/mill-2/ahead`)
    const ahead = page.getByRole('region', { name: 'Ahead' })
    await ahead.getByLabel(/the air here goes to/).fill('warm')
    await ahead.getByRole('button', { name: 'Add to the plan' }).click()
    await ahead.getByText('Give a temperature in °C.').waitFor()
  })
})
