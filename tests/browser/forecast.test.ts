import { describe, expect, it } from 'vitest'
import { pagesFolder } from '../../server/project.js'
import { openStore } from '../../server/store/sqlite.js'
import { fortnight } from '../../server/studies/identification/means.js'
import { learningShop, toEnd } from '../../server/studies/shop-model/prepare.js'
import { courses, end, shop as invented, told } from '../server/studies/shop-model/hall-shop.js'
import { started } from '../serving.js'
import { temporaryFolder } from '../temporary-folder.js'
import { openPage } from './browser.js'
import { sharedShop } from './live-shop.js'

const hour = 3_600_000

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

/** the real service and its pages in a hall that it has seen for ten days, and of which it learned how it responds */
const learnedHall = async () => {
  const interval = courses.spacing
  const hall = { ...invented, sensors: invented.sensors.map(sensor => ({ ...sensor, interval })) }
  const data = temporaryFolder()
  const store = openStore(data)
  for (const [sensor, values] of told)
    store.append(
      [...values].map((value, i) => {
        const at = courses.from + i * interval * 1000
        return { sensor, at, value, receivedAt: at }
      }),
    )
  await store.facts.record('shop model', [await toEnd(learningShop({ shop: hall, store }, fortnight(end), end))])
  store.close()
  return started({ shop: hall, pages: pagesFolder, clock: () => end }, { data })
}

it('answers a plan for a door by what was learned of it, and keeps it in the address', async () => {
  const { url } = await learnedHall()
  const { page, troubles } = await openPage(`${url}/machine/mill/ahead`)
  const ahead = page.getByRole('region', { name: 'Ahead' })
  const what = ahead.getByLabel('what is planned')
  await what.selectOption({ label: 'Dock door open' })
  // of what it cannot tell there is no choice
  expect(await what.getByRole('option').allInnerTexts()).not.toContain('Vent off')
  expect(await ahead.getByRole('textbox', { name: /the air here goes to/ }).count()).toBe(0)
  await ahead.getByLabel('At', { exact: true }).fill('01:00')
  await ahead.getByRole('button', { name: 'Add to the plan' }).click()
  await ahead.getByText(/from 01:00 Dock door open/).waitFor()
  await ahead.getByText(/by what was learned of how the air here answers/).waitFor()
  const plan = `${end + hour},dock,open`
  expect(new URL(page.url()).searchParams.get('plan')).toBe(plan)

  // what the pictures show is under the plan: in winter the air is colder once the door is open, and not before
  const table = await ahead.getByRole('link', { name: 'Temperatures ahead as CSV' }).getAttribute('href')
  const airBy = async (address: string) => {
    const rows = (await (await fetch(new URL(address, url))).text()).split('\n').map(row => row.split(','))
    return new Map(rows.flatMap(([, node, at, , mean]) => (node === 'air' ? [[Number(at), Number(mean)]] : [])))
  }
  expect(new URL(table!, url).searchParams.get('plan')).toBe(plan)
  const under = await airBy(table!)
  const without = await airBy(table!.replace(/plan=[^&]*/, `plan=${end + 20 * hour},dock,shut`))
  for (const [at, value] of under) {
    const change = value - without.get(at)!
    if (at <= end + hour) expect(change).toBe(0)
    else if (at >= end + 4 * hour) expect(change).toBeLessThan(-0.5)
  }

  await ahead.getByRole('button', { name: 'Take out' }).click()
  await ahead.getByText(/If conditions hold/).waitFor()
  expect(troubles).toEqual([])
})
