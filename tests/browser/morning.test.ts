import type { Locator, Page } from 'playwright-core'
import { expect, it } from 'vitest'
import { expectSound, openPage, pagesOf } from './browser.js'
import { sharedShop } from './live-shop.js'

/** Wednesday, 10:00 in the demo shop's zone */
const start = Date.UTC(2026, 0, 14, 9, 0)
const online = sharedShop(start, 12)

const jobs = (page: Page) => page.getByRole('region', { name: 'Today’s jobs' })
const job = (page: Page, part: string) => jobs(page).getByRole('article', { name: part })
const enter = async (dialog: Locator, fields: Record<string, string>) => {
  for (const [label, value] of Object.entries(fields)) await dialog.getByLabel(label, { exact: true }).fill(value)
}
const tolerance = 'Tolerance: grade as H7 or IT6, or its width as 0.02 mm'

it('takes a job, answers wait until the cold part has soaked, and go once it has', async () => {
  const shop = online()
  const { page, troubles } = await openPage(`${shop.service.url}/sensors`)
  await page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name: 'Morning' }).click()
  await page.getByRole('heading', { level: 1, name: 'Morning check' }).waitFor()
  await jobs(page).getByText('No jobs are planned yet').waitFor()

  await page.getByRole('button', { name: 'Enter a job …' }).click()
  const dialog = page.getByRole('dialog', { name: 'Enter a job' })
  await enter(dialog, {
    'Part, name or number': 'Cold sleeve',
    'Planned start, shop’s time': '2026-01-14T10:15',
    'It takes, with unit: 45 min': '20 min',
    'What it is: bore, seat, thickness …': 'seat',
    'Size, with unit: 120 mm': '120 mm',
    [tolerance]: 'H7',
  })
  await dialog.getByText('35 µm wide by ISO 286').waitFor()
  await dialog.getByRole('combobox', { name: 'Machine' }).selectOption('Mill 3')
  await dialog.getByRole('combobox', { name: 'Material' }).selectOption('steel')
  await dialog.getByRole('combobox', { name: 'The part comes' }).selectOption('from a store at another temperature')
  await enter(dialog, {
    'Brought in at, shop’s time': '2026-01-14T10:10',
    'Temperature of the store, with unit: 12 °C': '5 furlongs',
    Who: 'A. Tester',
  })
  await dialog.getByRole('combobox', { name: 'Size of the part' }).selectOption('Thickness')
  await enter(dialog, { 'Thickness of the part, with unit': '4 mm' })
  await dialog.getByRole('button', { name: 'Plan the job' }).click()
  // the mistake is said at the field that it is about, and nothing that was typed is lost
  const temperature = dialog.getByLabel('Temperature of the store, with unit: 12 °C')
  await expect.poll(() => temperature.getAttribute('aria-invalid')).toBe('true')
  expect(await dialog.getByLabel('Part, name or number').inputValue()).toBe('Cold sleeve')
  await temperature.fill('8 °C')
  await dialog.getByRole('button', { name: 'Plan the job' }).click()

  const row = job(page, 'Cold sleeve')
  await row.getByText(/^Wait until 1\d:\d\d$/).waitFor()
  expect(await row.innerText()).toMatch(/seat 120\smm H7, 35\sµm/)
  expect(await row.innerText()).toMatch(/For the part/)
  expect(await row.getByRole('img').getAttribute('aria-label')).toMatch(/^Planned 10:15, advised 1\d:\d\d on Mill 3\./)
  // its budget on request
  await row.getByRole('button', { name: 'Budget and more of Cold sleeve' }).click()
  await row.getByRole('table', { name: 'Uncertainty budget, Error as planned' }).waitFor()
  await row.getByText(/from a store at 8\.0\s°C, brought in 10:10/).waitFor()

  for (let lived = 0; lived < 120 && !(await row.getByText('Go', { exact: true }).isVisible()); lived += 10)
    await shop.live(10)
  await row.getByText('Go', { exact: true }).waitFor()
  expect(await row.getByText(/^Wait until/).count()).toBe(0)

  // changed, and withdrawn
  await row.getByRole('button', { name: 'Change …' }).click()
  const change = page.getByRole('dialog', { name: 'Change Cold sleeve' })
  expect(await change.getByLabel('Size, with unit: 120 mm').inputValue()).toBe('120 mm')
  expect(await change.getByLabel(tolerance).inputValue()).toBe('H7')
  await change.getByLabel('Part, name or number').fill('Warm sleeve')
  await change.getByRole('button', { name: 'Change the job' }).click()
  await job(page, 'Warm sleeve').waitFor()
  await job(page, 'Warm sleeve').getByRole('button', { name: 'Withdraw …' }).click()
  await page.getByRole('dialog').getByRole('button', { name: 'Withdraw it' }).click()
  await jobs(page).getByText('No jobs are planned yet').waitFor()
  expect(troubles.filter(text => !text.includes('400'))).toEqual([])
})

const table = `part,size,tolerance,material,machine,start,duration
Good one,40 H7,,steel,Mill 1,11:00,45 min
No such material,40 H7,,unobtainium,Mill 1,11:00,45 min
No such machine,40 H7,,steel,Mill 99,11:00,45 min
Good two,80 mm,30 µm,grey iron,Mill 3 or Mill 5,12:30,90 min
No tolerance,40 mm,,steel,Mill 1,13:00,45 min
`

/** presses Tab until what is asked for has the focus */
const tabTo = async (page: Page, target: Locator) => {
  for (let presses = 0; presses < 200; presses++) {
    if (await target.evaluate(element => element === document.activeElement)) return
    await page.keyboard.press('Tab')
  }
  throw new Error('it is not reached by the keyboard')
}

it('takes the good rows of a list, prints on one sheet, works by keyboard alone, in both themes', async () => {
  const shop = online()
  const address = `${shop.service.url}/morning`
  const { page, troubles } = await openPage(address)
  const open = page.getByRole('button', { name: 'Send a list …' })
  await tabTo(page, open)
  await page.keyboard.press('Enter')
  const dialog = page.getByRole('dialog', { name: 'Send a list of jobs' })
  await tabTo(page, dialog.getByLabel('or its text'))
  await page.keyboard.insertText(table)
  await dialog.getByText('2 jobs can be taken, 3 rows are refused.').waitFor()
  const refused = dialog.getByRole('table', { name: 'Rows that are refused' })
  for (const [line, column, why] of [
    [3, 'material', /unobtainium/],
    [4, 'machine', /Mill 99.*did you mean Mill/s],
    [6, 'tolerance', /no tolerance/],
  ] as const) {
    const row = refused
      .getByRole('row')
      .filter({ has: page.getByRole('rowheader', { name: String(line), exact: true }) })
    expect(await row.innerText(), String(line)).toContain(column)
    expect(await row.innerText(), String(line)).toMatch(why)
  }
  await tabTo(page, dialog.getByLabel('Who'))
  await page.keyboard.type('A. Tester')
  await tabTo(page, dialog.getByRole('button', { name: 'Take 2 jobs' }))
  await page.keyboard.press('Enter')
  await page.getByText('2 jobs planned. 3 rows were refused.').waitFor()
  for (const part of ['Good one', 'Good two']) await job(page, part).waitFor()
  expect(await jobs(page).getByRole('article').count()).toBe(2)
  // details are opened, and a dialog is left, by keyboard
  const more = page.getByRole('button', { name: 'Budget and more of Good one' })
  await tabTo(page, more)
  await page.keyboard.press('Space')
  expect(await more.getAttribute('aria-expanded')).toBe('true')
  await tabTo(page, job(page, 'Good one').getByRole('button', { name: 'Change …' }))
  await page.keyboard.press('Enter')
  await page.getByRole('dialog', { name: 'Change Good one' }).waitFor()
  await page.keyboard.press('Escape')
  await page.getByRole('dialog').waitFor({ state: 'detached' })

  for (const format of ['A4', 'Letter'] as const)
    expect(pagesOf(await page.pdf({ format, printBackground: true })), format).toBe(1)
  expect(troubles).toEqual([])

  for (const colorScheme of ['light', 'dark'] as const)
    for (const viewport of [
      { width: 1280, height: 800 },
      { width: 390, height: 844 },
    ]) {
      const { page: shown } = await openPage(address, { viewport, colorScheme })
      await job(shown, 'Good two')
        .getByRole('button', { name: /^Budget/ })
        .click()
      const where = `${viewport.width} px, ${colorScheme}`
      await expectSound(shown, where)
      await shown.getByRole('button', { name: 'Enter a job …' }).click()
      await shown.getByRole('dialog').waitFor()
      await expectSound(shown, `${where}, dialog`)
      await shown.context().close()
    }
})
