import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, expect, it, onTestFinished } from 'vitest'
import { startMosquitto } from '../mosquitto.js'
import { launchBrowser } from './browser.js'
import { liveShop } from './live-shop.js'

let browser: Browser
beforeAll(async () => {
  browser = await launchBrowser()
})
afterAll(() => browser.close())

const paths = [
  '/',
  '/machine/mill-1',
  '/machine/mill-1/environment',
  '/sensors',
  '/calibration',
  '/recordings',
  '/about',
]

/** kB as they travelled and as the page got them, of everything a page loads, the live stream left out */
const transferred = async (address: string): Promise<{ travelled: number; got: number }> => {
  const context = await browser.newContext()
  const page = await context.newPage()
  const network = await context.newCDPSession(page)
  await network.send('Network.enable')
  const sizes = new Map<string, { travelled: number; got: number }>()
  const of = (id: string) => {
    const size = sizes.get(id) ?? { travelled: 0, got: 0 }
    sizes.set(id, size)
    return size
  }
  network.on('Network.dataReceived', ({ requestId, dataLength }) => {
    of(requestId).got += dataLength
  })
  network.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    of(requestId).travelled = encodedDataLength
  })
  await page.goto(address)
  await expect.poll(() => page.getByRole('heading').count()).toBeGreaterThan(0)
  await page.waitForTimeout(3000)
  await context.close()
  const finished = [...sizes.values()].filter(size => size.travelled > 0)
  const kB = (which: 'travelled' | 'got') => finished.reduce((sum, size) => sum + size[which], 0) / 1000
  return { travelled: kB('travelled'), got: kB('got') }
}

it('every page travels in less than half of its bytes', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const { service } = await liveShop(mosquitto.url, Date.UTC(2026, 0, 14, 7))
  for (const path of paths) {
    const { travelled, got } = await transferred(`${service.url}${path}`)
    console.log(`${path}: ${travelled.toFixed(1)} kB travelled for ${got.toFixed(1)} kB`)
    expect(got).toBeGreaterThan(20)
    expect([path, travelled < got / 2]).toEqual([path, true])
  }
}, 240_000)
