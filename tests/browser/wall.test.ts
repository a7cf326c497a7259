import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest'
import { type Mosquitto, startMosquitto } from '../mosquitto.js'
import { launchBrowser, openPage } from './browser.js'
import { liveShop } from './live-shop.js'

/** A winter's working morning in the demo shop's zone. */
const wednesdayMorning = Date.UTC(2026, 0, 14, 3, 0)

let browser: Browser
beforeAll(async () => {
  browser = await launchBrowser()
})
afterAll(() => browser.close())

const withBroker = async (): Promise<Mosquitto> => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  return mosquitto
}

describe('the wall, in a real browser, fed by a real broker', () => {
  it('sees the verdict change after the dock door opens, and names the door', async () => {
    const mosquitto = await withBroker()
    const shop = await liveShop(mosquitto.url, wednesdayMorning)
    await shop.live(15)
    const { page, troubles } = await openPage(browser, `${shop.service.url}/?class=bearing-seats`)
    const lane = page.locator('[data-machine="mill-2"]')
    await lane.getByText('Fit', { exact: true }).waitFor()

    shop.simulated.setDoor('dock-door', true)
    await shop.live(12)
    await lane.getByText('Unfit', { exact: true }).waitFor()
    expect(await lane.innerText()).toMatch(/Dock door open \d+\smin/)
    expect(await page.getByText('Dock door open').count()).toBeGreaterThan(0)
    // far from the door nothing happens
    expect(await page.locator('[data-machine="grinder-1"]').innerText()).toMatch(/^Fit$/m)

    shop.simulated.setDoor('dock-door', false)
    await shop.live(12)
    await lane.getByText('Settling', { exact: true }).waitFor()
    expect(await lane.innerText()).toMatch(/fit by\s+\d\d:\d\d/)
    expect(troubles).toEqual([])
  }, 180_000)

  it('shows a machine as unknown when a needed sensor is unplugged', async () => {
    const mosquitto = await withBroker()
    const shop = await liveShop(mosquitto.url, wednesdayMorning)
    await shop.live(12)
    const { page } = await openPage(browser, shop.service.url)
    const lane = page.locator('[data-machine="grinder-1"]')
    await lane.getByText('Fit', { exact: true }).waitFor()
    shop.simulated.fault('grinder-1-x-screw', 'unplugged')
    await shop.live(3)
    await lane.getByText('Unknown', { exact: true }).waitFor()
    expect(await lane.innerText()).toMatch(/Grinder 1 X screw: silent since/)
  })

  it('says "No data" over everything when readings stop, shows no verdict beneath, and recovers', async () => {
    const mosquitto = await withBroker()
    const shop = await liveShop(mosquitto.url, wednesdayMorning)
    await shop.live(12)
    const { page } = await openPage(browser, shop.service.url)
    await page.getByText('Fit', { exact: true }).first().waitFor()
    await shop.silence(1)
    const alert = page.getByRole('alert')
    await alert.getByText(/No data since/).waitFor()
    expect(await alert.innerText()).toContain('Readings have stopped')
    expect(await page.getByText('Fit', { exact: true }).count()).toBe(0)
    await shop.live(2)
    await alert.waitFor({ state: 'detached' })
  }, 180_000)

  it('says that the broker is away when it is killed, and takes up again when it is back', async () => {
    const mosquitto = await withBroker()
    const shop = await liveShop(mosquitto.url, wednesdayMorning)
    await shop.live(12)
    const { page } = await openPage(browser, shop.service.url)
    await page.getByText('Fit', { exact: true }).first().waitFor()
    await mosquitto.kill()
    const alert = page.getByRole('alert')
    await alert.getByText(/broker is away/).waitFor()
    expect(await page.getByText('Fit', { exact: true }).count()).toBe(0)
    await mosquitto.start()
    // the first publications wait until the simulator's client has connected again
    await shop.live(12)
    await alert.waitFor({ state: 'detached' })
    await page.getByText('Fit', { exact: true }).first().waitFor()
  }, 180_000)

  it('says that the service is gone, and comes back by itself', async () => {
    const mosquitto = await withBroker()
    const shop = await liveShop(mosquitto.url, wednesdayMorning)
    await shop.live(12)
    const { page } = await openPage(browser, shop.service.url)
    await page.getByText('Fit', { exact: true }).first().waitFor()
    await shop.service.stop()
    const alert = page.getByRole('alert')
    await alert.getByText('The service does not answer').waitFor()
    expect(await page.getByText('Fit', { exact: true }).count()).toBe(0)
    await shop.startAgain()
    await shop.live(2)
    await alert.waitFor({ state: 'detached' })
    await page.getByText('Fit', { exact: true }).first().waitFor()
  }, 180_000)
})
