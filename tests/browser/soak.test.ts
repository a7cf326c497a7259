import type { Page } from 'playwright-core'
import { expect, it } from 'vitest'
import { expectSound, openPage } from './browser.js'
import { sharedShop } from './live-shop.js'

/** 10:12 in the demo shop's zone */
const start = Date.UTC(2026, 0, 14, 9, 0)
const online = sharedShop(start, 12, { hours: 1 })

const answer = (page: Page) => page.getByRole('region', { name: 'When it is ready' })
const enter = async (page: Page, fields: Record<string, string>) => {
  for (const [label, value] of Object.entries(fields)) await page.getByLabel(label, { exact: true }).fill(value)
}
it('says when a gauge is ready, by the shop’s clock, in either units, and counts down once it has begun', async () => {
  const shop = online()
  const { page, troubles } = await openPage(`${shop.service.url}/sensors`)
  await page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name: 'Soak' }).click()
  await page.getByRole('heading', { level: 1, name: 'Soak' }).waitFor()

  // the shop air is offered; what is typed takes its place
  const air = shop.service.monitor.shop().air!
  const around = page.getByLabel('Temperature around it, °C', { exact: true })
  expect(Number(await around.inputValue())).toBeCloseTo(air, 0)
  await page.getByLabel('Material').selectOption('gauge-block steel')
  await page.getByRole('radio', { name: 'Block' }).check()
  await enter(page, {
    'Length, mm': '100',
    'Width, mm': '35',
    'Height, mm': '9',
    'Its temperature at first, °C': '28',
    'Temperature around it, °C': '20',
    'Length that counts, mm': '100',
    'Error it may still have, µm': '0.2',
  })
  // τ·ln(8 K / 0.174 K) of a lump: by hand 175 min; the limits of the film make it about 110 to 265
  await answer(page).getByText('Ready in 2 h 55 min', { exact: true }).waitFor()
  expect(await answer(page).innerText()).toMatch(/1 h 5\d min to 4 h [23]\d min/)
  // 10:12 and three hours less five minutes
  expect(await answer(page).innerText()).toMatch(/likely at\s+13:0\d/)
  const table = page.getByRole('table', { name: 'Remaining error over time' })
  expect(await table.getByRole('row', { name: /^At first/ }).innerText()).toContain('+9.20 µm')
  expect(await table.getByRole('row', { name: /^Likely/ }).innerText()).toMatch(/\+0\.(19|20|21) µm/)
  await page.getByText(/counts as equally warm all through/).waitFor()
  await page.getByText(/Do not touch it with bare hands/).waitFor()

  await page.getByRole('button', { name: 'It begins now' }).click()
  await shop.live(20)
  await answer(page)
    .getByText(/^Ready in 2 h 3\d min$/)
    .waitFor()
  // the address holds it all
  await page.reload()
  await answer(page)
    .getByText(/^Ready in 2 h 3\d min$/)
    .waitFor()
  await page.getByRole('button', { name: 'It has not begun' }).click()
  await answer(page).getByText('Ready in 2 h 55 min', { exact: true }).waitFor()

  await page.getByRole('radio', { name: 'in °F' }).check()
  expect(await page.getByLabel('Length that counts, in', { exact: true }).inputValue()).toBe('3.937')
  expect(await page.getByLabel('Its temperature at first, °F', { exact: true }).inputValue()).toBe('82.4')
  expect(await table.getByRole('row', { name: /^At first/ }).innerText()).toContain('+362 µin')
  await answer(page).getByText('Ready in 2 h 55 min', { exact: true }).waitFor()
  await enter(page, { 'Error it may still have, µin': '80' })
  await answer(page)
    .getByText(/^Ready in 1 h/)
    .waitFor()

  await page.getByLabel('It lies').selectOption('flood coolant')
  await answer(page)
    .getByText(/^Ready in \d+ s$/)
    .waitFor()
  expect(troubles).toEqual([])
})

it('refuses what cannot be, and keeps the answer for the value before', async () => {
  const shop = online()
  const { page, troubles } = await openPage(`${shop.service.url}/soak?around=20&shape=ball&material=nonsense`)
  await answer(page)
    .getByText(/^Ready in/)
    .waitFor()
  const before = await answer(page).innerText()
  const diameter = page.getByLabel('Diameter, mm', { exact: true })
  for (const [wrong, words] of [
    ['0', 'Between 0.5 and 10000 mm.'],
    ['', 'Give a number in mm.'],
    ['three', 'Give a number in mm.'],
  ] as const) {
    await diameter.fill(wrong)
    expect(await page.getByRole('alert').innerText()).toContain(words)
    expect(await diameter.getAttribute('aria-invalid')).toBe('true')
    expect((await answer(page).innerText()).split('\n')[0]).toBe(before.split('\n')[0])
  }
  await diameter.fill('30,5')
  expect(await page.getByRole('alert').count()).toBe(0)
  expect(new URL(page.url()).searchParams.get('d')).toBe('0.0305')
  expect(troubles).toEqual([])
})

it('works on a phone: no scrolling sideways, the answer first, no accessibility violation in either theme', async () => {
  const shop = online()
  for (const colorScheme of ['dark', 'light'] as const)
    for (const asked of [
      '',
      '?shape=mass&m=120&material=grey+iron&surface=rough&start=2&place=granite+plate&since=2026-01-14T08:00Z',
    ]) {
      const { page, troubles } = await openPage(`${shop.service.url}/soak${asked}`, {
        viewport: { width: 390, height: 844 },
        colorScheme,
      })
      await answer(page)
        .getByText(/^Ready in/)
        .waitFor()
      const { y, height } = (await answer(page)
        .getByText(/^Ready in/)
        .boundingBox())!
      expect(y + height).toBeLessThan(844)
      await expectSound(page, `${asked} ${colorScheme}`)
      expect(troubles).toEqual([])
      await page.context().close()
    }
})
