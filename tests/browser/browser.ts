import { AxeBuilder } from '@axe-core/playwright'
import { type Browser, type BrowserContextOptions, chromium, type Page, type Request } from 'playwright-core'
import { expect, onTestFinished } from 'vitest'
import { whenFileEnds } from '../file-end.js'
import { patience } from '../patience.js'

/** The real browser, once for a test file. */
let launched: Promise<Browser> | undefined
export const browser = (): Promise<Browser> => {
  if (launched) return launched
  launched = chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--no-first-run'],
  })
  whenFileEnds(async () => {
    const ended = launched
    launched = undefined
    await (await ended)?.close()
  })
  return launched
}

/** requests of a page that are not answered yet, but for the live stream, which never is */
const unanswered = new WeakMap<Page, Set<Request>>()

/** A page of its own, and what it throws or logs as an error. */
export const newPage = async (options: BrowserContextOptions = {}): Promise<{ page: Page; troubles: string[] }> => {
  const context = await (await browser()).newContext({ viewport: { width: 1920, height: 1080 }, ...options })
  // patience for a machine that others use; how fast a page is, the bench says
  context.setDefaultTimeout(patience)
  const page = await context.newPage()
  const open = new Set<Request>()
  unanswered.set(page, open)
  page.on('request', request => request.url().endsWith('/api/live') || open.add(request))
  const over = (request: Request) => open.delete(request)
  page.on('requestfinished', over).on('requestfailed', over)
  const troubles: string[] = []
  page.on('pageerror', error => troubles.push(error.message))
  page.on('console', message => {
    // a broken connection is reported by the browser itself; tests that break it expect that
    if (message.type() === 'error' && !message.text().includes('net::ERR')) troubles.push(message.text())
  })
  return { page, troubles }
}

/** An address in a page of its own, for one test. */
export const openPage = async (url: string, options: BrowserContextOptions = {}): ReturnType<typeof newPage> => {
  const opened = await newPage(options)
  onTestFinished(() => opened.page.context().close())
  await opened.page.goto(url)
  return opened
}

/** ms; a page that has not answered by then is asked once more */
const answers = patience / 5

/**
 * What is asked of a page, once more where it never answers: on a slow machine the browser now and then loses a question, and
 * these have no limit of their own.
 *
 * @throws Error when it does not answer the second time either
 */
const answered = async <T>(ask: () => Promise<T>): Promise<T> => {
  for (let time = 0; time < 2; time++) {
    let limit: NodeJS.Timeout | undefined
    const never = new Promise<null>(resolve => {
      limit = setTimeout(resolve, answers, null)
    })
    const found = await Promise.race([ask().then(answer => ({ answer })), never])
    clearTimeout(limit)
    if (found) return found.answer
    console.log(`A page has not answered within ${answers / 1000} s.`)
  }
  throw new Error('The page does not answer.')
}

/** The page in a window of this size, in this theme. */
export const shownIn = (
  page: Page,
  { size, theme }: { size?: { width: number; height: number }; theme?: 'light' | 'dark' },
): Promise<void> =>
  answered(async () => {
    if (size) await page.setViewportSize(size)
    if (theme) await page.emulateMedia({ colorScheme: theme })
  })

/** Until nothing in a page has changed for so long (ms, of the page's own clock), and what changed last is drawn. */
export const still = (page: Page, quiet = 150): Promise<void> =>
  answered(() =>
    page.evaluate(
      quiet =>
        new Promise<void>(resolve => {
          const drawn = () => {
            observer.disconnect()
            requestAnimationFrame(() => requestAnimationFrame(() => resolve()))
            // a window that nobody looks at may not be drawn at all
            setTimeout(resolve, 2000)
          }
          let timer = setTimeout(drawn, quiet)
          const observer = new MutationObserver(() => {
            clearTimeout(timer)
            timer = setTimeout(drawn, quiet)
          })
          observer.observe(document, { subtree: true, childList: true, attributes: true, characterData: true })
        }),
      quiet,
    ),
  )

/** Until a page that was opened here has all that it asked for, and shows it. */
export const settled = async (page: Page): Promise<void> => {
  const open = unanswered.get(page)!
  do {
    await expect.poll(() => open.size).toBe(0)
    await still(page)
  } while (open.size > 0)
}

const levels = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']
/** the rules of these levels for which colours matter */
const ofColours = ['color-contrast', 'link-in-text-block']

/** No violation of the WCAG 2.2 AA rules of axe-core. @param what all rules, or those which another theme can break */
export const expectAccessible = async (page: Page, where = page.url(), what: 'all' | 'colours' = 'all') => {
  // our pages have no frames; what passes is not told, which takes longer than to find it
  const axe = new AxeBuilder({ page }).setLegacyMode().options({ resultTypes: ['violations'] })
  const asked = what === 'all' ? axe.withTags(levels) : axe.withRules(ofColours)
  const { violations } = await answered(() => asked.analyze())
  const found = violations.map(v => `${v.id}: ${v.nodes.map(n => n.target.join(' ')).join(', ')}`)
  expect(found, where).toEqual([])
}

/** Never scrolls sideways. On a phone a page that is too wide widens the window, but not the element. */
export const expectNoSideways = async (page: Page, where = page.url()) => {
  const wide = await answered(() =>
    page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth),
  )
  expect(wide, where).toBeLessThanOrEqual(0)
}

/** Accessible, and never scrolled sideways. */
export const expectSound = async (page: Page, where?: string) => {
  await expectAccessible(page, where)
  await expectNoSideways(page, where)
}

/** On how many sheets it is printed. */
export const pagesOf = (pdf: Buffer): number => [...pdf.toString('latin1').matchAll(/\/Type\s*\/Page\b/g)].length
