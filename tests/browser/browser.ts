import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core'
import { onTestFinished } from 'vitest'

/** The real browser, once for a test file. */
export const launchBrowser = (): Promise<Browser> =>
  chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--no-first-run'],
  })

/** A page of its own; the test fails when the page throws or logs an error. */
export const openPage = async (
  browser: Browser,
  url: string,
  options: BrowserContextOptions = {},
): Promise<{ page: Page; troubles: string[] }> => {
  const context = await browser.newContext({ viewport: { width: 1920, height: 1080 }, ...options })
  onTestFinished(() => context.close())
  // patience for a machine that others use; how fast a page is, the bench says
  context.setDefaultTimeout(60_000)
  const page = await context.newPage()
  const troubles: string[] = []
  page.on('pageerror', error => troubles.push(error.message))
  page.on('console', message => {
    // a broken connection is reported by the browser itself; tests that break it expect that
    if (message.type() === 'error' && !message.text().includes('net::ERR')) troubles.push(message.text())
  })
  await page.goto(url)
  return { page, troubles }
}
