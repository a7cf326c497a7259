import { expect, it } from 'vitest'
import { ordinarySpindle, spindleGrowth } from '../../simulators/spindle.js'
import { sentTest, sixTools } from '../core/spindle/sent-test.js'
import { expectAccessible, expectSound, openPage } from './browser.js'
import { sharedShop } from './live-shop.js'

/** 10:00 in the demo shop's zone */
const start = Date.UTC(2026, 0, 14, 9, 0)
// the tests bring what they ask of the past
const online = sharedShop(start, 1, { hours: 1 })

const phone = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true }
it('runs a growth test on a phone, from its plan to the chart: a reading corrected, the page reloaded, the network lost', async () => {
  const shop = online()
  const { page, troubles } = await openPage(`${shop.service.url}/machine/mill-2/spindle`, phone)
  await page.getByText('None on record.').waitFor()
  await page.getByRole('link', { name: 'Run a test, guided' }).click()

  // the plan; safety first
  await page.getByRole('textbox', { name: /Speeds in their order/ }).fill('6000, 12000, 0')
  await page.getByRole('textbox', { name: /Each for/ }).fill('60')
  await page.getByRole('textbox', { name: /Readings, min/ }).fill('2, 5, 10, 20, 30, 45, 60')
  await page.getByRole('textbox', { name: /Tool length/ }).fill('120')
  await page.getByRole('textbox', { name: 'Who' }).fill('Ada')
  await page.getByRole('button', { name: 'Begin the test' }).click()
  await page
    .getByRole('alert')
    .getByText(/points about safety/)
    .waitFor()
  for (const caution of await page.getByRole('checkbox').all()) await caution.check()
  await expectSound(page)
  await page.getByRole('button', { name: 'Begin the test' }).click()

  // a spindle that lives in the simulator; what its indicator shows, at the minute it is read
  const steps = [100, 200, 0].map(speed => ({ speed, duration: 3600 }))
  let minute = 0
  const pass = async (minutes: number) => {
    minute += minutes
    await shop.silence(minutes)
  }
  const shown = () => String(Math.round(spindleGrowth(ordinarySpindle, steps, [minute * 60])[0]! * 1e6))
  const read = async (value = shown()) => {
    await page.getByRole('textbox', { name: /^Reading/ }).fill(value)
    await page.getByRole('button', { name: /^Keep/ }).click()
  }
  const readings = (count: number) =>
    expect.poll(() => page.getByRole('button', { name: /^Correct/ }).count()).toBe(count)

  await page.getByText('Read the zero, spindle cold').waitFor()
  await read('0')
  await readings(1)
  await page.getByText(/Set the spindle to 6.000 1\/min/).waitFor()
  await page.getByRole('button', { name: /It turns at 6.000 1\/min now/ }).click()
  await page.getByText(/^Next reading in [12]:\d\d$/).waitFor()
  let count = 1
  const readAt = async (minutes: readonly number[]) => {
    for (const at of minutes) {
      await pass(at - (minute % 60))
      await page.getByText('Read now').waitFor()
      await read()
      await readings(++count)
    }
  }
  await readAt([2, 5])
  // mistyped by a digit
  await pass(5)
  await page.getByText('Read now').waitFor()
  await read('90')
  await readings(++count)
  await page.getByRole('button', { name: /^Correct 90 µm/ }).click()
  const dialog = page.getByRole('dialog')
  await dialog.getByRole('textbox', { name: /It was/ }).fill(shown())
  await dialog.getByRole('button', { name: /^Correct to/ }).click()
  await page.getByText(/corrected$/).waitFor()
  // the battery was dead, or somebody pressed "back"
  await page.reload()
  await readings(count)
  await page.getByText(/corrected$/).waitFor()
  await expectSound(page)
  await readAt([20])
  // the network goes; what is read stays in the browser with its time, and is sent when it is back
  await page.context().route('**/api/machines/mill-2/spindle/run/**', route => route.abort())
  await pass(10)
  await page.getByText('Read now').waitFor()
  await read()
  await readings(++count)
  await page.getByText(/One entry waits for the network/).waitFor()
  await page.context().unroute('**/api/machines/mill-2/spindle/run/**')
  await expect.poll(() => page.getByText(/for the network/).count()).toBe(0)
  await readAt([45])
  await pass(15)
  await page.getByText('Read now').waitFor()
  await read()
  await readings(++count)
  await page.getByText(/Set the spindle to 12.000 1\/min/).waitFor()
  await page.getByRole('button', { name: /It turns at 12.000 1\/min now/ }).click()
  await page.getByText(/^Next reading in/).waitFor()
  const rest = [2, 5, 10, 20, 30, 45]
  minute = 60
  await readAt(rest)
  await pass(15)
  await page.getByText('Read now').waitFor()
  await read()
  await readings(++count)
  await page.getByRole('button', { name: 'It stands still now' }).click()
  minute = 120
  await page.getByText(/^Next reading in/).waitFor()
  await readAt(rest)
  await pass(15)
  await page.getByText('Read now').waitFor()
  await read()
  await page.getByRole('button', { name: 'End the test', exact: true }).click()

  // the chart, and what it says
  const table = page.getByRole('table', { name: 'Steady growth and time constants by speed' })
  await table.waitFor()
  const fast = await table.getByRole('row', { name: /^12.000 1\/min/ }).innerText()
  const growth = Number(/\+(\d+(?:\.\d)?) µm/.exec(fast)?.[1])
  const truth = spindleGrowth(ordinarySpindle, [{ speed: 200, duration: 1e6 }], [1e6])[0]! * 1e6
  expect(Math.abs(growth - truth) / truth).toBeLessThan(0.1)
  await page.getByRole('img', { name: /Growth over the minutes of the test/ }).waitFor()
  await page.getByRole('radio', { name: 'Each speed from its beginning' }).check({ force: true })
  await page.getByRole('img', { name: /since each change of speed/ }).waitFor()
  await page.getByRole('table', { name: 'Growth tests, newest first' }).getByText('Ada').waitFor()
  await expectSound(page)
  expect(troubles).toEqual([])
})

it('plans a job of six tools on that test, on a phone, to the printed sheet', async () => {
  const shop = online()
  // the test of the run above, or one like it where this runs alone
  const machine = `${shop.service.url}/api/machines/mill-2`
  const { tests } = (await (await fetch(`${machine}/spindle`)).json()) as { tests: unknown[] }
  if (tests.length === 0) {
    const sent = JSON.stringify(sentTest(1, '2026-01-12 06:00'))
    const headers = { 'content-type': 'application/json' }
    expect((await fetch(`${machine}/spindle`, { method: 'POST', headers, body: sent })).status).toBe(201)
  }
  const { page, troubles } = await openPage(`${shop.service.url}/machine/mill-2/spindle`, phone)
  await page
    .getByRole('navigation', { name: /^Views of/ })
    .getByRole('link', { name: 'Tool plan' })
    .click()
  await page.getByRole('button', { name: 'Enter tools …' }).click()
  const dialog = page.getByRole('dialog')
  await dialog.getByLabel('Job, name or number').fill('Bearing housing')
  for (const [i, tool] of sixTools.entries()) {
    if (i > 1) await dialog.getByRole('button', { name: 'Add a tool' }).click()
    const group = dialog.getByRole('group', { name: `Tool ${i + 1}`, exact: true })
    const enter = (label: string, text: string) => group.getByLabel(label, { exact: true }).fill(text)
    await enter('Tool', tool.tool)
    // numbers alone are in the unit of their label; what has its own unit keeps it
    await enter('Length, mm', Number.parseFloat(tool.length).toString())
    await enter('Speed, 1/min', i === 3 ? 'fast' : tool.speed)
    await enter('In the cut, min', Number.parseFloat(tool.cutting).toString())
    await enter('Tolerance, µm', tool.tolerance)
    await enter('Only after', tool.after ?? '')
  }
  await dialog.getByLabel('Tilt of the head, µm/m, if known').fill('40')
  await dialog.getByLabel('Who').fill('Ada')
  await dialog.getByRole('button', { name: 'Plan these tools' }).click()
  // what is wrong is said at its field
  const wrong = dialog.getByRole('group', { name: 'Tool 4', exact: true }).getByLabel('Speed, 1/min', { exact: true })
  await expect.poll(() => wrong.getAttribute('aria-invalid')).toBe('true')
  await expectAccessible(page)
  // the browser tells of the refusal itself
  expect(troubles.splice(0)).toEqual([expect.stringContaining('400 (Bad Request)')])
  await wrong.fill('7200')
  await dialog.getByRole('button', { name: 'Plan these tools' }).press('Enter')

  const sheet = page.getByRole('table', { name: 'Set-up sheet' })
  await sheet.waitFor()
  await page.getByText(/of dwell in the given order/).waitFor()
  await expect.poll(() => page.getByRole('dialog').count()).toBe(0)
  const order = async () =>
    (await sheet.getByRole('rowheader').allInnerTexts()).map(text =>
      sixTools.findIndex(({ tool }) => text.startsWith(tool)),
    )
  const proposed = await order()
  expect([...proposed].sort()).toEqual([0, 1, 2, 3, 4, 5])
  expect(proposed).not.toEqual([0, 1, 2, 3, 4, 5])
  // T7 and T4 follow T1; T4 and T9 follow T2
  for (const [first, second] of [
    [0, 1],
    [0, 3],
    [2, 3],
    [2, 4],
  ] as const)
    expect(proposed.indexOf(first)).toBeLessThan(proposed.indexOf(second))
  await page.getByText(/The machine builder’s instructions come first/).waitFor()
  await page.getByText(/^Beyond their share: T9 boring bar/).waitFor()
  // the sheet has an address, with the order that was chosen by keyboard
  await page.getByRole('radio', { name: 'Sheet of the proposed order' }).focus()
  await page.keyboard.press('ArrowRight')
  await expect.poll(order).toEqual([0, 1, 2, 3, 4, 5])
  await page.reload()
  await sheet.waitFor()
  expect(await order()).toEqual([0, 1, 2, 3, 4, 5])
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme })
    await expectSound(page)
  }
  // one page, and only the sheet
  await page.emulateMedia({ media: 'print', colorScheme: 'dark' })
  await expect.poll(() => page.getByRole('button', { name: 'Print the sheet' }).isVisible()).toBe(false)
  expect(await sheet.isVisible()).toBe(true)
  for (const format of ['A4', 'Letter'] as const) {
    const pdf = (await page.pdf({ format })).toString('latin1')
    expect(pdf.match(/\/Type\s*\/Page\b/g), format).toHaveLength(1)
  }
  expect(troubles).toEqual([])
})
