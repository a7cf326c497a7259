import { expect, it } from 'vitest'
import { openPage } from './browser.js'
import { liveShop } from './live-shop.js'

it('shows the largest change at rest, and compares an uploaded log with what the temperatures say', async () => {
  const shop = await liveShop(Date.UTC(2026, 0, 14, 3, 0), { hours: 2 })
  // an indicator that reads lower when X grows, standing at 40 µm, read every two minutes: the simulated shop's truth
  const rows: string[] = []
  shop.simulated.setDoor('dock-door', true)
  for (let i = 0; i < 10; i++) {
    await shop.live(2)
    const { time, machines } = shop.simulated.truth()
    rows.push(`${new Date(time).toISOString()},${(40 - machines['mill-2']!.axes.X!.atWork * 1e6).toFixed(2)}`)
  }

  const { page, troubles } = await openPage(`${shop.service.url}/machine/mill-2`)
  await page.getByRole('link', { name: 'Environment test' }).click()
  await page.getByRole('heading', { name: 'Mill 2 environment test' }).waitFor()
  const row = page.getByRole('row').filter({ has: page.getByRole('rowheader', { name: 'X', exact: true }) })
  await row.waitFor()
  const asked = await fetch(`${shop.service.url}/api/machines/mill-2/environment?window=3600`)
  const { axes } = (await asked.json()) as { axes: { axis: string; worst: { change: number } }[] }
  const change = axes.find(a => a.axis === 'X')!.worst.change * 1e6
  expect(change).toBeGreaterThan(0.5)
  expect(await row.innerText()).toContain(`${change.toFixed(change < 9.95 ? 1 : 0)} µm`)

  await page.getByRole('button', { name: 'Upload a log …' }).click()
  const dialog = page.getByRole('dialog')
  await dialog.getByRole('radio', { name: 'Longer reads lower' }).check({ force: true })
  await dialog.getByLabel('Who').fill('A. Tester')
  // first with a fault, which is named by its line
  const file = (text: string) => ({ name: 'log.csv', mimeType: 'text/csv', buffer: Buffer.from(text) })
  await dialog.getByLabel('CSV file').setInputFiles(file(`time,value (µm)\n${rows[0]}\nsoon,12\n`))
  await dialog.getByRole('button', { name: 'Store log' }).click()
  await dialog.getByText('line 3: "soon" is not a time').waitFor()
  await dialog.getByLabel('CSV file').setInputFiles(file(`time,value (µm)\n${rows.join('\n')}\n`))
  await dialog.getByRole('button', { name: 'Store log' }).click()
  const stored = page.getByText(/^Log \d+ stored: 10 values of X\.$/)
  await stored.waitFor()
  // facts of every kind are numbered together
  const log = /\d+/.exec(await stored.innerText())![0]
  await page.getByRole('heading', { name: 'Residuals' }).waitFor()
  expect(await shop.service.store.facts.of('drift log', { subject: 'mill-2' })).toMatchObject([
    { axis: 'X', sign: -1, by: 'A. Tester' },
  ])

  const compared = await fetch(`${shop.service.url}/api/machines/mill-2/environment/logs/${log}`)
  const { comparison } = (await compared.json()) as { comparison: { rms: number; rmsMeasured: number } }
  // the computation explains most of what the indicator saw
  expect(comparison.rms).toBeLessThan(0.6 * comparison.rmsMeasured)
  const figures = await page.locator('.figures').innerText()
  expect(figures).toContain(`${(comparison.rms * 1e6).toFixed(1)} µm`)
  // the address can be opened anew, with what was chosen in it
  await page.goto(`${shop.service.url}/machine/mill-2/environment?window=4h&log=${log}`)
  await page.getByRole('columnheader', { name: 'Largest change within 4 h' }).waitFor()
  await page.getByRole('heading', { name: 'Residuals' }).waitFor()
  expect(troubles.filter(t => !t.includes('400'))).toEqual([])
})
