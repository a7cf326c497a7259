import { describe, expect, it } from 'vitest'
import { appFor, local, now, shop } from './fakes.js'

const inches = { ...shop, units: 'inch' as const }
const growth = {
  kind: 'growth',
  axis: 'X',
  element: 'screw',
  amount: 4.3e-6,
  tolerance: 20e-6,
  apart: 3.1,
  length: 0.1,
  sinceDatum: false,
  inAnHour: 2e-6,
} as const
const metricText = 'X screw 3.1 K warmer than the part: 100 mm comes out 4.3 µm too long'
const inchText = 'X screw 5.6 °F warmer than the part: 3.94 in comes out 0.0002 in too long'
const tenthsText = 'X screw 5.6 °F warmer than the part: 3.94 in comes out 1.7 tenths too long'
const fell = { kind: 'stepped to the air', moved: 2.9, within: 600 } as const
const frozen = { kind: 'told', text: 'low enough since 09:10; fit once it has stayed so for 10 min' } as const

const appIn = async (of: typeof shop) => {
  const { app, monitor, store } = await appFor({}, { shop: of })
  monitor.machineNow.classes[0]!.reasons = [growth]
  Object.assign(monitor.sensorsNow[1]!, { trust: 'suspect', fault: fell })
  const change = {
    machine: 'mill',
    workClass: 'bores',
    verdict: 'unfit',
    thermalErrorIndex: 90,
    at: now - 1000,
  } as const
  await store.facts.record('verdict', [
    { ...change, reason: growth },
    { ...change, reason: frozen },
  ])
  return async (url: string) => (await app.inject({ url, headers: local })).body
}

describe.each([
  ['a metric shop', shop, '', metricText, '2.9 K'],
  ['a metric shop, asked in inches', shop, 'units=inch', inchText, '5.2 °F'],
  ['an inch shop', inches, '', inchText, '5.2 °F'],
  ['a shop of tenths', { ...shop, units: 'tenths' as const }, '', tenthsText, '5.2 °F'],
  ['an inch shop, asked in metric units', inches, 'units=metric', metricText, '2.9 K'],
])('in %s', (_, of, query, text, moved) => {
  it('reasons, verdict history and tables are in its units, the numbers beside them SI', async () => {
    const get = await appIn(of)
    const { machines } = JSON.parse(await get(`/api/machines?${query}`))
    expect(machines[0].classes[0].reasons).toEqual([
      { ...growth, text, more: expect.stringMatching(/^22 % of the tol/) },
    ])
    expect(JSON.parse(await get(`/api/machines/mill?${query}`)).classes[0].reasons[0].text).toBe(text)
    expect(await get(`/api/machines?format=csv&${query}`)).toContain(`${text},22 % of the tolerance.`)

    const { verdicts } = JSON.parse(await get(`/api/machines/mill/verdicts?${query}`))
    expect(verdicts[0]).toMatchObject({ reason: text, because: growth })
    expect(await get(`/api/machines/mill/verdicts?format=csv&${query}`)).toContain(`,90,${text}\r\n`)
  })

  it('so is why a sensor is not believed', async () => {
    const get = await appIn(of)
    const { sensors } = JSON.parse(await get(`/api/sensors?${query}`))
    expect(sensors[1]).toMatchObject({ fault: fell, reason: expect.stringContaining(`moved ${moved} to`) })
    expect(sensors[1].remedy).toMatch(/^Look whether/)
    expect(await get(`/api/sensors?format=csv&${query}`)).toContain(`moved ${moved} to`)
  })

  it('a sentence of before reasons were data stays as it was shown', async () => {
    const get = await appIn(of)
    const { verdicts } = JSON.parse(await get(`/api/machines/mill/verdicts?${query}`))
    expect(verdicts[1].reason).toBe('low enough since 09:10; fit once it has stayed so for 10 min')
  })
})
