import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import {
  browser,
  expectAccessible,
  expectNoSideways,
  expectSound,
  newPage,
  openPage,
  settled,
  shownIn,
  still,
} from './browser.js'
import { sharedShop } from './live-shop.js'

const online = sharedShop(Date.UTC(2026, 0, 14, 9, 0), 12)

const paths = [
  '/',
  '/morning',
  '/investigate',
  '/machine/mill-2',
  '/machine/mill-2/ahead',
  '/machine/mill-2/history',
  '/machine/mill-2/happened',
  '/machine/mill-2/budget',
  '/machine/mill-2/model',
  '/machine/mill-2/environment',
  '/machine/mill-2/alignment',
  '/sensors',
  '/calibration?sensors=all&period=hour',
  '/heating',
  '/soak',
  '/records?of=area:fine-room',
  '/recordings',
  '/about',
  '/handbook',
  '/handbook/shop-file',
]
const [screen, desk, phone] = [
  { width: 1920, height: 1080 },
  { width: 1280, height: 800 },
  { width: 390, height: 844 },
]

/** kB as they travelled and as the page got them, of everything a page loads, the live stream left out */
const transferred = async (address: string): Promise<{ travelled: number; got: number }> => {
  const context = await (await browser()).newContext()
  const page = await context.newPage()
  const network = await context.newCDPSession(page)
  await network.send('Network.enable')
  const sizes = new Map<string, { travelled: number; got: number }>()
  const of = (id: string) => {
    const size = sizes.get(id) ?? { travelled: 0, got: 0 }
    sizes.set(id, size)
    return size
  }
  const open = new Set<string>()
  network.on('Network.requestWillBeSent', ({ requestId, request }) => {
    if (!request.url.endsWith('/api/live')) open.add(requestId)
  })
  network.on('Network.loadingFailed', ({ requestId }) => open.delete(requestId))
  network.on('Network.dataReceived', ({ requestId, dataLength }) => {
    of(requestId).got += dataLength
  })
  network.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    of(requestId).travelled = encodedDataLength
    open.delete(requestId)
  })
  await page.goto(address)
  await expect.poll(() => page.getByRole('heading').count()).toBeGreaterThan(0)
  await still(page)
  await expect.poll(() => open.size).toBe(0)
  await context.close()
  const finished = [...sizes.values()].filter(size => size.travelled > 0)
  const kB = (which: 'travelled' | 'got') => finished.reduce((sum, size) => sum + size[which], 0) / 1000
  return { travelled: kB('travelled'), got: kB('got') }
}

describe('every page', () => {
  // opened once on a large screen and once on a phone, then looked at in the other size and theme; one after the other in
  // the same two windows, for to begin a window takes as long as to look at a page
  const views = [
    { opened: screen, other: phone, colorScheme: 'dark', otherScheme: 'light' },
    { opened: phone, other: screen, colorScheme: 'light', otherScheme: 'dark' },
  ] as const
  let windows: Awaited<ReturnType<typeof newPage>>[] = []
  beforeAll(async () => {
    windows = await Promise.all(views.map(() => newPage()))
  })
  afterAll(() => Promise.all(windows.map(({ page }) => page.context().close())))

  it.each(paths)('%s: no accessibility violation, throws nothing, and never scrolls sideways', async path => {
    for (const [i, { opened, other, colorScheme, otherScheme }] of views.entries()) {
      const { page, troubles } = windows[i]!
      await shownIn(page, { size: opened, theme: colorScheme })
      await page.goto(`${online().service.url}${path}`)
      await page.getByRole('heading').first().waitFor()
      await settled(page)
      const where = (size: typeof screen, scheme: string) => `at ${size.width} px, ${scheme}`
      await expectSound(page, where(opened, colorScheme))
      // on the same screen another theme changes colours only
      await shownIn(page, { theme: otherScheme })
      await expectAccessible(page, where(opened, otherScheme), 'colours')
      for (const size of [desk, other]) {
        await shownIn(page, { size })
        await settled(page)
        await expectNoSideways(page, where(size, otherScheme))
      }
      expect(troubles.splice(0)).toEqual([])
    }
  })

  it.each(['/', '/machine/mill-1', '/machine/mill-1/environment', '/sensors', '/calibration', '/recordings', '/about'])(
    '%s travels in less than half of its bytes',
    async path => {
      const { travelled, got } = await transferred(`${online().service.url}${path}`)
      console.log(`${path}: ${travelled.toFixed(1)} kB travelled for ${got.toFixed(1)} kB`)
      expect(got).toBeGreaterThan(20)
      expect(travelled).toBeLessThan(got / 2)
    },
  )

  it('fits the wall on its screen, with verdicts of at least 48 px at 1920×1080', async () => {
    const shop = online()
    const { page } = await openPage(shop.service.url)
    await page.locator('[data-machine="mill-1"]').waitFor()
    const high = await page.evaluate(() => document.documentElement.scrollHeight - window.innerHeight)
    expect(high).toBeLessThanOrEqual(0)
    const word = page.getByText(/^(Fit|Settling|Unfit|Unknown)$/)
    const sizesOfWords = await word.evaluateAll(all => all.map(e => Number.parseFloat(getComputedStyle(e).fontSize)))
    expect(sizesOfWords.length).toBeGreaterThanOrEqual(8)
    // the summary's small words are not verdicts of a machine
    const inLanes = await page
      .locator('[data-machine]')
      .getByText(/^(Fit|Settling|Unfit|Unknown)$/)
      .evaluateAll(all => all.map(e => Number.parseFloat(getComputedStyle(e).fontSize)))
    expect(Math.min(...inLanes)).toBeGreaterThanOrEqual(48)
  })

  it('still leads from the addresses of before to what they showed', async () => {
    const shop = online()
    for (const [old, now] of [
      ['/machine/mill-2?span=week', '/machine/mill-2/history?span=week'],
      ['/machine/mill-2?class=close-bores&ahead=72', '/machine/mill-2/ahead?class=close-bores&ahead=72'],
      ['/machine/mill-2?class=close-bores', '/machine/mill-2?class=close-bores'],
      ['/machine/mill-2/', '/machine/mill-2/'],
    ] as const) {
      const { page } = await openPage(`${shop.service.url}${old}`)
      await page.getByRole('heading', { name: /^Mill 2/ }).waitFor()
      expect(page.url()).toBe(`${shop.service.url}${now}`)
      await page.context().close()
    }
  })

  it('sets a datum from the machine page, with a note and who', async () => {
    const shop = online()
    const { page, troubles } = await openPage(`${shop.service.url}/machine/grinder-1`)
    await page.getByRole('button', { name: /set datum/i }).click()
    const dialog = page.getByRole('dialog')
    await dialog.getByLabel(/note/i).fill('first part proved')
    await dialog.getByLabel(/who|by|name/i).fill('A. Tester')
    // two ways to be zeroed: what a warm screw does over a length stays after the second
    expect(await dialog.getByRole('radio', { name: 'First part measured' }).isChecked()).toBe(true)
    await dialog.getByRole('radio', { name: 'Zero at one place' }).check()
    await dialog.getByText(/over a length stays/).waitFor()
    await dialog.getByRole('button', { name: /set/i }).click()
    await page.getByText('first part proved').first().waitFor()
    expect(await shop.service.store.facts.of('datum', { subject: 'grinder-1' })).toMatchObject([
      { by: 'A. Tester', note: 'first part proved', firstPart: false },
    ])
    await expect.poll(() => shop.service.monitor.machine('grinder-1')!.datum?.by).toBe('A. Tester')
    expect(troubles).toEqual([])
  })

  it('switches to inches and back, and remembers', async () => {
    const shop = online()
    const { page } = await openPage(`${shop.service.url}/sensors`)
    await page
      .getByText(/\d\.\d+ °C/)
      .first()
      .waitFor()
    await page.getByRole('radio', { name: 'in °F' }).check()
    await page
      .getByText(/\d\.\d+ °F/)
      .first()
      .waitFor()
    await page.reload()
    await page
      .getByText(/\d\.\d+ °F/)
      .first()
      .waitFor()
    expect(await page.getByText(/\d °C/).count()).toBe(0)
  })
})

describe('the sensors page', () => {
  it('shows when calibrations are due, the overdue one first, and keeps that order in the address', async () => {
    const shop = online()
    const { page, troubles } = await openPage(`${shop.service.url}/sensors`)
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
  })

  it('shows what devices tell of battery and signal; a low battery by word and shape', async () => {
    const shop = online()
    const { page, troubles } = await openPage(`${shop.service.url}/sensors`)
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
  })
})
