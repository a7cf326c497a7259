import type { Locator, Page } from 'playwright-core'
import { describe, expect, it } from 'vitest'
import type { Shop } from '../../core/shop.js'
import type { MachineState } from '../../core/state.js'
import { demoShop, demoShopFor } from '../demo-shop.js'
import { browser, expectNoSideways, openPage } from './browser.js'
import { liveShop, manifold, sharedShop } from './live-shop.js'

/** A winter's working morning in the demo shop's zone. */
const wednesdayMorning = Date.UTC(2026, 0, 14, 3, 0)

/** From the lane, wherever it is clicked, to the verdict and its reasons, and on through the machine's views. */
const answersWhy = async (page: Page, lane: Locator) => {
  const why = await lane.locator('.lane-why').innerText()
  expect(why).toContain('Dock door open')
  // anywhere on the lane, not only on the machine's name
  await lane.click()
  const card = page.locator('.class-card').first()
  await card.getByRole('heading', { name: 'Bearing seats' }).waitFor()
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
    await page.getByRole('heading', { name: heading, exact: true }).waitFor()
    expect(await views.getByRole('link', { name }).getAttribute('aria-current')).toBe('page')
    expect(new URL(page.url()).searchParams.get('class')).toBe('bearing-seats')
  }
}

describe('the wall, in a real browser, fed by a real broker', () => {
  // each test leaves it with machines that are fit
  const online = sharedShop(wednesdayMorning, 15, { hours: 3 })

  it('sees the verdict change after the dock door opens, names the door, and answers “why” with one click', async () => {
    const shop = online()
    const { page, troubles } = await openPage(`${shop.service.url}/?class=bearing-seats`)
    const lane = page.locator('[data-machine="mill-2"]')
    await lane.getByText('Fit', { exact: true }).waitFor()

    shop.simulated.setDoor('dock-door', true)
    await shop.live(12)
    await lane.getByText('Unfit', { exact: true }).waitFor()
    // it is unfit within a second; the lane then counts on
    await expect.poll(() => lane.innerText()).toMatch(/Dock door open \d+\smin/)
    await page.getByText('Dock door open', { exact: true }).first().waitFor()
    // far from the door nothing happens
    await expect.poll(() => page.locator('[data-machine="grinder-1"]').innerText()).toMatch(/^Fit$/m)
    // as it is now: the minutes that the door has been open count on
    await page.reload()
    await lane.getByText('Unfit', { exact: true }).waitFor()
    await answersWhy(page, lane)
    await page.goto(`${shop.service.url}/?class=bearing-seats`)

    shop.simulated.setDoor('dock-door', false)
    await shop.live(12)
    await lane.getByText('Settling', { exact: true }).waitFor()
    // until when, or why no time can be named yet
    await expect.poll(() => lane.innerText()).toMatch(/fit by\s+\d\d:\d\d|no time yet:\s+\d+ of 10 waits seen/)
    expect(troubles).toEqual([])

    // on a phone a lane with a time also tells how many of those named before came true, within its width
    const phone = await (await browser()).newPage({ viewport: { width: 390, height: 844 } })
    await phone.addInitScript(() => {
      const parse = JSON.parse
      JSON.parse = text =>
        parse(text, (_, value) => {
          if (value?.verdict !== 'settling' || !value.reasons) return value
          const [earliest, likely, latest] = [20, 30, 40].map(minutes => value.since + minutes * 60_000)
          const reasons = value.reasons.filter(({ kind }: { kind: string }) => kind !== 'poor record')
          return { ...value, reasons, ready: { earliest, likely, latest }, fitByRecord: { kept: 27, of: 30 } }
        })
    })
    await phone.goto(page.url())
    await phone.locator('[data-machine="mill-2"]').getByText('27 came true').waitFor()
    await expectNoSideways(phone)
    await phone.context().close()
  })

  it('says "No data" over everything when readings stop, shows no verdict beneath, and recovers', async () => {
    const shop = online()
    const { page } = await openPage(shop.service.url)
    await page.getByText('Fit', { exact: true }).first().waitFor()
    await shop.silence(1)
    const alert = page.getByRole('alert')
    await alert.getByText(/No data since/).waitFor()
    expect(await alert.innerText()).toContain('Readings have stopped')
    expect(await page.getByText('Fit', { exact: true }).count()).toBe(0)
    await shop.live(2)
    await alert.waitFor({ state: 'detached' })
  })

  it('says that the broker is away when it is killed, and takes up again when it is back', async () => {
    const shop = online()
    const { page } = await openPage(shop.service.url)
    await page.getByText('Fit', { exact: true }).first().waitFor()
    await shop.broker.kill()
    const alert = page.getByRole('alert')
    await alert.getByText(/broker is away/).waitFor()
    expect(await page.getByText('Fit', { exact: true }).count()).toBe(0)
    await shop.broker.start()
    // the simulator's publications wait until its client has connected again; before the service has, they would be lost
    await expect.poll(() => shop.service.monitor.shop().broker).toBe('connected')
    await shop.live(12)
    await alert.waitFor({ state: 'detached' })
    await page.getByText('Fit', { exact: true }).first().waitFor()
  })

  it('says that the service is gone, and comes back by itself', async () => {
    const shop = online()
    const { page } = await openPage(shop.service.url)
    await page.getByText('Fit', { exact: true }).first().waitFor()
    await shop.service.stop()
    const alert = page.getByRole('alert')
    await alert.getByText('The service does not answer').waitFor()
    expect(await page.getByText('Fit', { exact: true }).count()).toBe(0)
    await shop.startAgain()
    await shop.live(2)
    await alert.waitFor({ state: 'detached' })
    await page.getByText('Fit', { exact: true }).first().waitFor()
  })

  it('shows a machine as unknown when a needed sensor is unplugged', async () => {
    const shop = online()
    const { page } = await openPage(shop.service.url)
    const lane = page.locator('[data-machine="grinder-1"]')
    await lane.getByText('Fit', { exact: true }).waitFor()
    shop.simulated.fault('grinder-1-x-screw', 'unplugged')
    await shop.live(3)
    await lane.getByText('Unknown', { exact: true }).waitFor()
    expect(await lane.innerText()).toMatch(/Grinder 1 X screw silent since/)
  })

  it('keeps 3, 8, 24 and 48 machines within its screen, nothing beyond its edge or over another, and legible', async () => {
    // followed for the kind of work that is shown; the page is told of all
    const large = manifold(demoShopFor('close-bores'), 6)
    const shop = await liveShop(wednesdayMorning, { interval: 60, hours: 3, shop: large, copies: 6 })
    shop.simulated.setDoor('dock-door', true)
    await shop.live(20)
    const { page, troubles } = await openPage(`${shop.service.url}/?class=close-bores`)
    await page.addInitScript(silenceEveryOther)
    // the same service, of which the page is told fewer machines
    let machines = 48
    const { workClasses } = demoShop()
    const answer = (await (await fetch(`${shop.service.url}/api/shop`)).json()) as { shop: Shop }
    await page.route('**/api/shop', route =>
      route.fulfill({
        json: { ...answer, shop: { ...answer.shop, workClasses, machines: answer.shop.machines.slice(0, machines) } },
      }),
    )
    for (const [count, least] of [
      [3, 48],
      [8, 48],
      [24, 48],
      [48, 36],
    ] as const)
      for (const [width, height] of [
        [1920, 1080],
        [1280, 800],
        [1080, 1920],
      ] as const) {
        machines = count
        await page.setViewportSize({ width, height })
        await page.reload()
        await page
          .locator('[data-machine]')
          .nth(count - 1)
          .waitFor()
        await page.locator('.verdict.is-fit').first().waitFor()
        const where = `${count} machines at ${width} × ${height}`
        expect(await page.locator('[data-machine]').count(), where).toBe(count)
        // what settles has a time, or says why it has none
        expect(await page.locator('.lane.reads-settling:not(.has-ready)').count(), where).toBe(0)
        if (count > 3) expect(await page.locator('.lane-ready.is-none').count(), where).toBeGreaterThan(0)
        const seen = await page.evaluate(look)
        expect(seen.scrolls, where).toEqual([0, 0])
        expect(seen.beyond, where).toEqual([])
        expect(seen.frame, where).toEqual([])
        expect(seen.cut, where).toEqual([])
        expect(seen.over, where).toEqual([])
        // one px of the design is smaller on a smaller screen, and so is what must be seen from five metres before it
        const unit = width > height ? Math.min(width / 1920, height / 1080) : 1
        if (width > height) expect(seen.verdict / unit, where).toBeGreaterThanOrEqual(least - 0.01)
        expect(seen.smallest / unit, where).toBeGreaterThanOrEqual(25)
        // what is not fit stands first where there are too many to look through
        if (count > 8)
          expect(seen.verdicts, where).toEqual(
            ['unfit', 'unknown', 'settling', 'fit'].flatMap(v => seen.verdicts.filter(w => w === v)),
          )
      }
    expect(troubles).toEqual([])
  })
})

/** Run in the page: every other machine that settles is told without a time, for few of those found came true. */
const silenceEveryOther = () => {
  const parse = JSON.parse
  const silenced = (_: string, value: MachineState) => {
    if (value?.classes && value.nodes && value.machine.charCodeAt(value.machine.length - 1) % 2)
      for (const each of value.classes)
        if (each.verdict === 'settling') {
          each.ready = null
          each.reasons.push({ kind: 'poor record', kept: 17, of: 30 })
        }
    return value
  }
  JSON.parse = (text, reviver) => parse(text, reviver ?? silenced)
}

/** Run in the page: what of its lanes cannot be seen whole, and how large it is written. */
const look = () => {
  const visible = (e: Element) => {
    const { width, height } = e.getBoundingClientRect()
    return width > 2 && height > 2 && (e.textContent ?? '').trim() !== '' && !e.closest('[aria-hidden]')
  }
  const name = (e: Element) => `${e.closest('[data-machine]')?.getAttribute('data-machine')} ${e.className}`
  const parts = [
    ...document.querySelectorAll(
      '.lane :is(.lane-name a, .verdict, .lane-since, .ready-label, .ready-time, .none-named, .none-because, .lane-why span)',
    ),
  ].filter(visible)
  const boxes = parts.map(e => ({ e, box: e.getBoundingClientRect() }))
  const size = (e: Element) => Number.parseFloat(getComputedStyle(e).fontSize)
  const marks = parts.filter(e => e.classList.contains('verdict'))
  return {
    scrolls: [
      document.documentElement.scrollWidth - innerWidth,
      document.documentElement.scrollHeight - innerHeight,
    ].map(by => Math.max(by, 0)),
    /** what stands above and below the lanes: beyond the screen, or over another */
    frame: [
      ...document.querySelectorAll('.wall-head > *, .head-class > *, .head-summary li, .strip > li, .wall-foot > *'),
    ]
      .filter(visible)
      .filter(e => {
        const box = e.getBoundingClientRect()
        const next = e.nextElementSibling?.getBoundingClientRect()
        const over =
          next &&
          next.top < box.bottom - 1 &&
          next.left < box.right - 1 &&
          next.right > box.left &&
          next.bottom > box.top
        return box.left < 0 || box.right > innerWidth + 0.5 || over
      })
      .map(e => e.className),
    /** not within the screen, or not within their lane */
    beyond: boxes
      .filter(({ e, box }) => {
        const lane = e.closest('.lane')!.getBoundingClientRect()
        const within = (b: DOMRect, e: number) =>
          box.left >= b.left - e && box.right <= b.right + e && box.top >= b.top - e && box.bottom <= b.bottom + e
        return !within(lane, 1) || !within(new DOMRect(0, 0, innerWidth, innerHeight), 0.5)
      })
      .map(({ e }) => name(e)),
    /** a verdict's word or shape that touches its border, or a name or time that is cut off */
    cut: parts
      .filter(e => {
        const around = e.classList.contains('verdict') ? e : e.parentElement!
        const b = around.getBoundingClientRect()
        const inner = [...e.querySelectorAll('span, svg')]
        const gap = e.classList.contains('verdict') ? 4 : -1
        return (
          (!e.closest('.lane-why') && around.scrollWidth > around.clientWidth + 1) ||
          inner.some(
            i => i.getBoundingClientRect().right > b.right - gap || i.getBoundingClientRect().left < b.left + gap,
          )
        )
      })
      .map(name),
    /** two of one lane that lie over each other */
    over: boxes.flatMap(({ e, box }, i) =>
      boxes
        .slice(i + 1)
        .filter(
          other =>
            other.e.closest('.lane') === e.closest('.lane') &&
            Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left) > 1 &&
            Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top) > 1,
        )
        .map(other => `${name(e)} and ${name(other.e)}`),
    ),
    verdict: Math.min(...marks.map(size)),
    smallest: Math.min(...parts.map(size)),
    verdicts: marks.map(e => /is-(\w+)/.exec(e.className)![1]!),
  }
}
