import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { pino } from 'pino'
import { expect, it, onTestFinished } from 'vitest'
import { relive } from '../../../server/demo/relive.js'
import { createDecoder } from '../../../server/ingest/decoder.js'
import type { Reading } from '../../../server/ingest/reading.js'
import { loadSequence } from '../../../server/recording/load.js'
import { recordingTable } from '../../../server/recording/table.js'
import { readDemoSettings } from '../../../server/settings/index.js'
import { createSimulatedShop, demoPlant } from '../../../simulators/index.js'
import { demoShop } from '../../demo-shop.js'
import { temporaryFolder } from '../../temporary-folder.js'

const hour = 3_600_000
/** an invented night, long ago */
const from = Date.UTC(2025, 10, 4, 20)

/** what the demo shop's sensors sent in some hours, as a recording */
const night = async (hours: number): Promise<string> => {
  const { sensors } = demoShop()
  const decode = createDecoder(sensors)
  const readings: Reading[] = []
  const simulated = createSimulatedShop(demoPlant, { seed: 5, start: from })
  simulated.advance(
    from + hours * hour,
    ({ topic, payload, time }) =>
      readings.push(...decode(topic, Buffer.from(payload), { retained: false, receivedAt: time }).readings),
    60,
  )
  const file = join(temporaryFolder(), 'night.csv')
  let text = ''
  for await (const piece of recordingTable([readings], sensors)) text += piece
  writeFileSync(file, text)
  return file
}

it('lives a recorded night again: verdicts as they would have been, marked as a replay, no sensor late or lost', async () => {
  const shop = demoShop()
  const { sequence } = await loadSequence({ file: await night(1), from: null, to: null }, shop, () => undefined)
  const outcome = readDemoSettings(
    ['--recording', 'night.csv', '--shop', 'shop.yaml', '--speed', '300', '--port', '0', '--data', temporaryFolder()],
    {},
  )
  if (outcome.kind !== 'settings') throw new Error(JSON.stringify(outcome))
  expect(outcome.settings.replay).toEqual({ recording: 'night.csv', shop: 'shop.yaml', speed: 300 })
  const relived = await relive(outcome.settings, shop, sequence, 300, pino({ level: 'silent' }), () => undefined)
  onTestFinished(relived.stop)
  const { service } = relived
  const states = new Set<string>()
  service.monitor.onChange(({ verdicts }) => {
    for (const { verdict } of verdicts) states.add(verdict)
  })
  await relived.ended
  await expect.poll(() => service.now()).toBe(sequence.at.at(-1))
  // time stands still now, and the last readings may still be on their way through the broker
  const notOk = () => service.monitor.sensors().flatMap(({ sensor, trust }) => (trust === 'ok' ? [] : [sensor]))
  await expect.poll(notOk).toEqual([])
  // the night’s own verdicts, at the night’s own times
  expect(states.has('fit') || states.has('unfit') || states.has('settling')).toBe(true)
  const verdicts = service.monitor.machines().flatMap(machine => machine.classes)
  // nobody sets a datum in a replay: its beginning is taken for one, and says so, so that nothing stays unknown
  expect(verdicts.filter(({ verdict }) => verdict === 'unknown')).toEqual([])
  const datums = await service.store.facts.of('datum')
  expect(datums.map(({ machine }) => machine).sort()).toEqual(shop.machines.map(({ id }) => id).sort())
  for (const { at, by, note } of datums) {
    expect(at - from).toBeLessThan(hour / 2)
    expect([by, note]).toEqual(['the replay', 'taken to be zero at its beginning; nobody set it'])
  }
  for (const { since } of verdicts) expect(since).toBeLessThanOrEqual(service.now())
  const told = await (await fetch(`${service.url}/api/shop`)).json()
  expect(told.shop.replay).toBe(300)
  expect(service.monitor.shop().troubles).toEqual([])
})

it.each([
  [['--recording', 'night.csv'], /--shop/],
  [['--shop', 'shop.yaml'], /--recording/],
  [['--recording', 'a', '--shop', 'b', '--speed', '0'], /--speed/],
])('%j is refused in words', (argv, problem) => {
  const outcome = readDemoSettings(argv, {})
  expect(outcome.kind === 'problems' && outcome.problems.join('\n')).toMatch(problem)
})
