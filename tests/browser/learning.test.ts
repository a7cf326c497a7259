import { expect, it } from 'vitest'
import type { Shop } from '../../core/shop.js'
import { demoShop } from '../demo-shop.js'
import { openPage } from './browser.js'
import { liveShop } from './live-shop.js'

const hour = 3_600_000
const day = 24 * hour
const start = Date.UTC(2026, 0, 14, 9, 0)
const from = start - 6 * day

/** °C; warm in the afternoon, so that the screw moves */
const temperature = (at: number) => 21 + 2 * Math.sin((2 * Math.PI * (at - from)) / day)
/** the X screw of Mill 1 as somebody measured it: steel, 461 mm from its fixed end, three quarters of what is described */
const grown = (at: number) => 0.75 * 11.5e-6 * (0.381 + 0.08) * temperature(at)

/** The demo's shop whose file does not say what carries the screws' bearings: their whole length follows their sensor. */
const withoutBearings = (): Shop => {
  const shop = demoShop()
  const machines = shop.machines.map(machine => ({
    ...machine,
    axes: machine.axes.map(axis =>
      axis.measuring.kind === 'screw' && axis.measuring.mounting.kind === 'one end fixed'
        ? { ...axis, measuring: { ...axis.measuring, mounting: { kind: 'one end fixed' as const } } }
        : axis,
    ),
  }))
  return { ...shop, machines }
}

it('learns from uploaded measurements, applies them on a click, and goes back to the nominal model', async () => {
  const shop = await liveShop(start, { shop: withoutBearings(), hours: 1 })
  await shop.live(12)
  const { service } = shop
  // the days before: readings that are stored, as if the service had run then
  const sensors = ['x-screw', 'y-screw', 'z-screw', 'column', 'head', 'air'].map(node => `mill-1-${node}`)
  for (const sensor of sensors)
    service.store.append(
      Array.from({ length: 5 * 24 * 12 }, (_, i) => {
        const at = from + i * 300_000
        return { sensor, at, value: temperature(at), receivedAt: at }
      }),
    )
  const table = Array.from({ length: 5 }, (_, d) =>
    [3, 6, 9].map(h => {
      const zero = from + d * day + 4 * hour
      const at = zero + h * hour
      const value = ((grown(at) - grown(zero)) * 1e6).toFixed(2)
      return `X,${new Date(zero).toISOString()},${new Date(at).toISOString()},${value},0.2`
    }),
  ).flat()

  const growthNow = () => service.monitor.machine('mill-1')!.growth.find(g => g.axis === 'X')!.atWork!
  const growthServed = async (begin = from, end = from + day, point = 100) => {
    const reply = await fetch(`${service.url}/api/machines/mill-1/growth?from=${begin}&to=${end}`, {
      // the service is started anew in between: no connection may be kept
      headers: { connection: 'close' },
    })
    const { axes } = (await reply.json()) as { axes: { axis: string; points: { atWork: number }[] }[] }
    return axes.find(a => a.axis === 'X')!.points.at(point)!.atWork
  }
  const nominal = { now: growthNow(), served: await growthServed() }

  const { page, troubles } = await openPage(`${service.url}/machine/mill-1/model`)
  const section = page.getByRole('region', { name: 'Learning from measurements' })
  await section.getByText('Nominal model in use').waitFor()
  await section.getByRole('button', { name: 'Upload measurements …' }).click()
  const dialog = page.getByRole('dialog')
  await dialog.getByLabel('Who').fill('A. Tester')
  await dialog.getByLabel('or its text').fill(`axis,zero,time,value (µm),uncertainty (µm)\n${table.join('\n')}\n`)
  await dialog.getByRole('button', { name: 'Store measurements' }).click()
  await section.getByText('15 measurements stored.').waitFor()
  const screw = section.getByRole('row').filter({ has: page.getByRole('rowheader', { name: 'X screw' }) })
  expect(await screw.innerText()).toMatch(/0\.7[56] ± 0\.0\d/)

  await section.getByRole('button', { name: 'Apply learned factors …' }).click()
  await dialog.getByLabel('Note').fill('five days on the sphere')
  await dialog.getByRole('button', { name: 'Apply', exact: true }).click()
  await section.getByText('Corrected model in use').waitFor()
  const [change] = await service.store.facts.of('factors', { subject: 'mill-1' })
  const factor = change!.factors!['X screw']!
  expect(Math.abs(factor - 0.75)).toBeLessThan(0.02)
  expect(change).toMatchObject({ by: 'A. Tester', note: 'five days on the sphere' })
  // the monitor and the growth over time both use it from now on; what was believed before stays
  await shop.live(5)
  expect(Math.abs(growthNow() / nominal.now / factor - 1)).toBeLessThan(0.1)
  const until = service.now()
  const sinceThen = () => growthServed(change!.at, until, -1)
  expect(Math.abs((await sinceThen()) / growthNow() - 1)).toBeLessThan(0.05)
  expect(await growthServed()).toBe(nominal.served)
  expect(await screw.innerText()).toMatch(/0\.7[56]$/)

  expect(troubles).toEqual([])

  // a new start of the service knows it
  await service.stop()
  await shop.startAgain()
  const corrected = await sinceThen()
  expect(Math.abs(corrected / nominal.now / factor - 1)).toBeLessThan(0.1)
  await page.reload()
  await section.getByRole('button', { name: 'Back to nominal …' }).click()
  await dialog.getByRole('button', { name: 'Back to nominal', exact: true }).click()
  await section.getByText('Nominal model in use').waitFor()
  expect(await sinceThen()).toBe(corrected)
  const changes = await shop.service.store.facts.of('factors', { subject: 'mill-1' })
  expect(changes.map(c => c.factors === null)).toEqual([false, true])
})
