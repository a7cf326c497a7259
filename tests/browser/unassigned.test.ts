import { connectAsync } from 'mqtt'
import { expect, it, onTestFinished } from 'vitest'
import { startMosquitto } from '../mosquitto.js'
import { shop } from '../server/http/fakes.js'
import { serving } from '../serving.js'
import { expectSound, openPage } from './browser.js'

it('the sensors page lists what arrives on mapped topics and is no sensor of the shop', async () => {
  const mosquitto = await startMosquitto()
  onTestFinished(() => mosquitto.remove())
  const service = await serving(
    { ...shop, topics: [{ pattern: 'plant/{sensor}/t', sensor: '{sensor}', payload: { kind: 'number' } }] },
    mosquitto.url,
  )
  const client = await connectAsync(mosquitto.url)
  onTestFinished(() => client.endAsync(true))
  const long = 'a-name-that-goes-on-and-on-'.repeat(5)
  for (const name of ['TT-7', 'TT-7', long]) await client.publishAsync(`plant/${name}/t`, '21.5', { qos: 1 })

  for (const [width, height] of [
    [1920, 1080],
    [1280, 800],
    [390, 844],
  ] as const) {
    const { page, troubles } = await openPage(`${service.url}/sensors`, { viewport: { width, height } })
    const table = page.getByRole('region', { name: 'Topics without a sensor' }).getByRole('table')
    await expect.poll(() => table.getByRole('row').allInnerTexts()).toHaveLength(3)
    const row = table.getByRole('row', { name: /TT-7/ })
    expect(await row.getByRole('rowheader').innerText()).toBe('plant/TT-7/t')
    expect((await row.getByRole('cell').allInnerTexts()).slice(0, 2)).toEqual(['TT-7', '2'])
    await expectSound(page)
    expect(troubles).toEqual([])
    await page.context().close()
  }
})
