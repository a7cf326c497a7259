import { AxeBuilder } from '@axe-core/playwright'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import { startMosquitto } from '../mosquitto.js'
import { launchBrowser, openPage } from './browser.js'
import { liveShop, sharedShop } from './live-shop.js'

let browser: Browser
beforeAll(async () => {
  browser = await launchBrowser()
})
afterAll(() => browser.close())

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
const sizes = [
  { width: 1920, height: 1080 },
  { width: 1280, height: 800 },
  { width: 390, height: 844 },
]

describe('every page', () => {
  it('has no accessibility violation (WCAG 2.2 AA rules of axe-core), throws nothing, and never scrolls sideways', async () => {
    const shop = online()
    const look = async (path: string, viewport: (typeof sizes)[number], colorScheme: 'dark' | 'light') => {
      const { page, troubles } = await openPage(browser, `${shop.service.url}${path}`, { viewport, colorScheme })
      await page.getByRole('heading').first().waitFor()
      await page.waitForTimeout(700)
      const where = `${path} at ${viewport.width}×${viewport.height}, ${colorScheme}`
      // between the largest and the smallest screen only the widths differ
      if (viewport.width !== 1280) {
        const { violations } = await new AxeBuilder({ page })
          .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
          .analyze()
        expect(
          violations.map(v => `${v.id}: ${v.nodes.map(n => n.target.join(' ')).join(', ')}`),
          where,
        ).toEqual([])
      }
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)
      expect(wide, where).toBeLessThanOrEqual(0)
      expect(troubles, where).toEqual([])
      await page.context().close()
    }
    for (const colorScheme of ['dark', 'light'] as const)
      for (const viewport of sizes) for (const path of paths) await look(path, viewport, colorScheme)
  }, 900_000)

  it('fits the wall on its screen, with verdicts of at least 48 px at 1920×1080', async () => {
    const shop = online()
    const { page } = await openPage(browser, shop.service.url)
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

  it('answers “why” with one click on a lane of the wall, for the work class the wall showed', async () => {
    const mosquitto = await startMosquitto()
    onTestFinished(() => mosquitto.remove())
    const shop = await liveShop(mosquitto.url, Date.UTC(2026, 0, 14, 3, 0))
    await shop.live(12)
    shop.simulated.setDoor('dock-door', true)
    await shop.live(12)
    const { page, troubles } = await openPage(browser, `${shop.service.url}/?class=bearing-seats`)
    const lane = page.locator('[data-machine="mill-2"]')
    await lane.getByText('Unfit', { exact: true }).waitFor({ timeout: 10_000 })
    const why = await lane.locator('.lane-why').innerText()
    expect(why).toContain('Dock door open')
    // anywhere on the lane, not only on the machine's name
    await lane.click()
    const card = page.locator('.class-card').first()
    await card.getByRole('heading', { name: 'Bearing seats' }).waitFor({ timeout: 10_000 })
    expect(await card.innerText()).toContain('Unfit')
    expect(await card.getByRole('listitem').first().innerText()).toContain(why)
    expect(new URL(page.url()).pathname).toBe('/machine/mill-2')
    // verdict and reasons are seen without scrolling
    const { y, height } = (await card.boundingBox())!
    expect(y + height).toBeLessThanOrEqual(1080)

    const views = page.getByRole('navigation', { name: 'Views of Mill 2' })
    for (const [name, heading] of [
      ['Ahead', 'Ahead'],
      ['History', 'Over time'],
      ['Budget', 'Error budget against the tolerance'],
      ['Model', 'Settling'],
      ['Environment test', 'Largest change'],
    ] as const) {
      await views.getByRole('link', { name }).click()
      await page.getByRole('heading', { name: heading, exact: true }).waitFor({ timeout: 10_000 })
      expect(await views.getByRole('link', { name }).getAttribute('aria-current')).toBe('page')
      expect(new URL(page.url()).searchParams.get('class')).toBe('bearing-seats')
    }
    expect(troubles).toEqual([])
  })

  it('still leads from the addresses of before to what they showed', async () => {
    const shop = online()
    for (const [old, now] of [
      ['/machine/mill-2?span=week', '/machine/mill-2/history?span=week'],
      ['/machine/mill-2?class=close-bores&ahead=72', '/machine/mill-2/ahead?class=close-bores&ahead=72'],
      ['/machine/mill-2?class=close-bores', '/machine/mill-2?class=close-bores'],
      ['/machine/mill-2/', '/machine/mill-2/'],
    ] as const) {
      const { page } = await openPage(browser, `${shop.service.url}${old}`)
      await page.getByRole('heading', { name: /^Mill 2/ }).waitFor({ timeout: 10_000 })
      expect(page.url()).toBe(`${shop.service.url}${now}`)
      await page.context().close()
    }
  })

  it('sets a datum from the machine page, with a note and who', async () => {
    const shop = online()
    const { page, troubles } = await openPage(browser, `${shop.service.url}/machine/grinder-1`)
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
    const { page } = await openPage(browser, `${shop.service.url}/sensors`)
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
