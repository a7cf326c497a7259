import { expect, it } from 'vitest'
import { asTable, madeParts, madeWeek, trueError } from '../server/inspections/made-week.js'
import { serveShop } from '../server/inspections/serving-shop.js'
import { temporaryFolder } from '../temporary-folder.js'
import { expectSound, openPage, pagesOf, settled } from './browser.js'

const hour = 3_600_000
const builtPages = new URL('../../dist/pages', import.meta.url).pathname

/** the real service, its pages, and a made week of an invented mill that was zeroed early in it */
const lived = async (seed: number) => {
  const week = madeWeek(seed)
  const shop = await serveShop(temporaryFolder(), builtPages)
  for (let i = 0; i < week.readings.length; i += 3000) shop.service.store.append(week.readings.slice(i, i + 3000))
  const zeroAt = week.from + 6 * hour
  const temperatures = { air: week.air(zeroAt), 'x-screw': week.screw(zeroAt), column: week.column(zeroAt) }
  await shop.service.store.facts.record('datum', [
    { machine: 'mill', at: zeroAt, by: 'Ada', note: '', temperatures, part: week.part(zeroAt), firstPart: false },
  ])
  return { ...shop, week, zeroAt }
}

const file = (name: string, text: string) => ({ name, mimeType: 'text/csv', buffer: Buffer.from(text) })

it('goes from a table to a conclusion by keyboard alone, on the screen and on paper', async () => {
  const { base, week, zeroAt } = await lived(1)
  const parts = madeParts(week, 60, at => trueError(week, at, zeroAt) + 3e-6 * week.draws.normal() + 4e-6)
  const table = asTable(parts).replaceAll(';-0.030;0.030;', ';-0.008;0.008;')
  const { page, troubles } = await openPage(`${base}/investigate`)
  await page.getByRole('heading', { name: 'No measured part is on record yet' }).waitFor()
  await page.getByLabel('A table of measured parts (CSV)').setInputFiles(file('rails.csv', table))
  // what is in it is told, and the focus is there
  const heading = page.getByRole('heading', { name: 'What is in rails.csv' })
  await heading.waitFor()
  await page.getByText('60 parts of 60 rows can be taken.').waitFor()
  expect(await heading.evaluate(element => element === document.activeElement)).toBe(true)
  expect(await page.getByLabel('What Measured (mm) is').inputValue()).toBe('measured')
  await page.keyboard.press('Tab')
  expect(await page.evaluate(() => document.activeElement?.textContent)).toBe('Take 60 parts …')
  await page.keyboard.press('Enter')
  const dialog = page.getByRole('dialog', { name: 'Take 60 parts from rails.csv' })
  await dialog.waitFor()
  await page.keyboard.type('Ada')
  await page.keyboard.press('Enter')
  await page.getByText('60 parts were taken from rails.csv.').waitFor()

  // the words and their interval come before any picture
  const conclusion = page.getByRole('region', { name: 'What the parts say' })
  await conclusion.getByText('Heat explains most of it.').waitFor()
  expect(await conclusion.getByText(/^Variance explained by the prediction$/).isVisible()).toBe(true)
  expect(await conclusion.innerText()).toMatch(/Rail, length, Mill along X: 60 parts, [1-9]\d* rejects?/)
  const order = await page.getByRole('region').evaluateAll(all => all.map(each => each.getAttribute('aria-labelledby')))
  expect(order.indexOf('conclusion')).toBeLessThan(order.indexOf('the-course'))
  // from where it came is not known before the shop's model is learned; then it comes by itself
  const fromWhere = page.getByRole('region', { name: 'From where the heat came' })
  const shares = fromWhere.getByRole('table', { name: 'Share of the movement by source, the largest first' })
  await fromWhere.getByText('How the shop responds is being learned').or(shares).waitFor()
  // pictures in words, and what cannot be told stays in view
  await page.getByRole('img', { name: /Deviations of 60 parts and the prediction/ }).waitFor()
  await page.getByRole('img', { name: /fitted slope [01]\.\d\d, expected 1/ }).waitFor()
  expect(await page.getByRole('row', { name: /Material lot|The material lot/ }).innerText()).toMatch(/not recorded/)
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    conclusion.getByRole('link', { name: 'Parts as CSV' }).click(),
  ])
  expect(download.suggestedFilename()).toBe('parts.csv')
  // what if: held at 20 °C, with the parts centred again
  const whatIf = page.getByRole('table', { name: 'Rejects that would remain' })
  await whatIf.getByRole('row', { name: /machine and part held at 20/ }).waitFor()
  const kept = await whatIf.getByRole('row', { name: /held at 20/ }).innerText()
  await page.getByRole('radio', { name: 'Offset as it was set' }).focus()
  await page.keyboard.press('ArrowRight')
  await expect.poll(() => whatIf.getByRole('row', { name: /held at 20/ }).innerText()).not.toBe(kept)
  // a moment is looked at by the arrow keys
  const slider = page.getByRole('slider', { name: 'Look at a moment' })
  await slider.focus()
  await page.keyboard.press('ArrowLeft')
  expect(await slider.getAttribute('aria-valuetext')).toMatch(/predicted [+−]?\d/)
  // an offset that was changed is entered, drawn and taken back
  const course = page.getByRole('region', { name: 'Parts and prediction over time' })
  await course.getByRole('button', { name: 'Enter a change …' }).click()
  const entering = page.getByRole('dialog', { name: 'What was changed at Mill' })
  await entering.getByLabel('At this moment').selectOption('an offset was changed')
  await entering.getByLabel('When, as 2026-01-14 09:30').fill('2026-02-26 10:00')
  await entering.getByLabel(/^Parts became larger by/).fill('-4 µm')
  await entering.getByLabel('Who').fill('Ada')
  await entering.getByRole('button', { name: 'Enter it' }).click()
  await course.getByText(/Offset changed: parts smaller by 4\.0 µm \(Ada\)/).waitFor()
  await course.getByText('offset changed', { exact: true }).waitFor()
  await course.getByRole('button', { name: /^Take back: Offset changed/ }).click()
  await page.getByRole('dialog', { name: 'Take it back' }).getByRole('button', { name: 'Take it back' }).click()
  await course.getByRole('button', { name: /^Take back: Offset changed/ }).waitFor({ state: 'hidden' })
  // a reject leads to what happened then
  await page
    .getByRole('link', { name: /What happened when \d+ was cut/ })
    .first()
    .click()
  await page.getByRole('heading', { name: 'Mill what happened' }).waitFor()
  await page.getByText(/^Air (fell|rose|stayed)/).waitFor()
  await page.goBack()
  await conclusion.getByText('Heat explains most of it.').waitFor()

  await shares.waitFor()

  await page.emulateMedia({ media: 'print' })
  expect(await page.getByRole('navigation', { name: 'Pages' }).isVisible()).toBe(false)
  expect(await page.getByLabel('Part, feature and machine').isVisible()).toBe(false)
  expect(await conclusion.getByText('Heat explains most of it.').isVisible()).toBe(true)
  expect(await page.getByRole('heading', { name: 'What was assumed' }).isVisible()).toBe(true)
  expect(pagesOf(await page.pdf({ format: 'A4', preferCSSPageSize: true }))).toBeLessThanOrEqual(7)
  expect(troubles).toEqual([])

  for (const [width, colorScheme] of [
    [1280, 'light'],
    [390, 'dark'],
  ] as const)
    for (const path of ['/investigate', `/machine/mill/happened?from=2026-02-27T06:00:00Z&to=2026-02-27T12:00:00Z`]) {
      const { page: shown } = await openPage(base + path, { viewport: { width, height: 844 }, colorScheme })
      await shown.getByRole('slider', { name: 'Look at a moment' }).waitFor()
      await settled(shown)
      await expectSound(shown, `${path} at ${width} px, ${colorScheme}`)
    }
})

it('says what is wrong in a hopeless table, takes none of it, and says of eight parts that it cannot be told', async () => {
  const { base, week, zeroAt } = await lived(3)
  const { page, troubles } = await openPage(`${base}/investigate`)
  const field = page.getByLabel('A table of measured parts (CSV)')
  await field.setInputFiles(
    file(
      'hopeless.csv',
      'Part,Feature,Machine,Nominal (mm),Measured (mm),Time of cut\nRail,length,Lathe 9,300,soon,yesterday\n',
    ),
  )
  await page.getByText('0 parts of 1 row can be taken, 1 row is refused.').waitFor()
  const faults = page.getByRole('table', { name: 'What is wrong in it' })
  for (const column of ['Machine', 'Measured (mm)', 'Time of cut'])
    await faults.getByRole('row').filter({ hasText: column }).first().waitFor()
  expect(await page.getByRole('button', { name: 'Take 0 parts' }).isDisabled()).toBe(true)
  await page.getByRole('button', { name: 'Forget it' }).click()

  // columns that nothing is known of are said by hand
  const eight = asTable(madeParts(week, 8, at => trueError(week, at, zeroAt))).replace('Measured (mm)', 'Probe (mm)')
  await field.setInputFiles(file('eight.csv', eight))
  await page.getByText(/It does not say: measured/).waitFor()
  await page.getByLabel('What Probe (mm) is').selectOption('measured')
  await page.getByText('8 parts of 8 rows can be taken.').waitFor()
  await page.getByRole('button', { name: 'Take 8 parts' }).click()
  const dialog = page.getByRole('dialog')
  await dialog.getByLabel('Who').fill('Ada')
  await dialog.getByRole('button', { name: 'Take 8 parts' }).click()
  const conclusion = page.getByRole('region', { name: 'What the parts say' })
  await conclusion.getByText('It cannot be told: 8 parts are too few, 12 are needed.').waitFor()
  await page.getByText('Measure 4 more parts.').waitFor()

  // and taken back as a whole
  await page.getByText('1 import so far').click()
  await page.getByRole('button', { name: /^Take back eight\.csv/ }).click()
  await page.getByRole('dialog').getByRole('button', { name: 'Take it back' }).click()
  await page.getByRole('heading', { name: 'No measured part is on record yet' }).waitFor()
  expect(troubles).toEqual([])
})
