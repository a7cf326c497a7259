import { spawn } from 'node:child_process'
import { join } from 'node:path'
import { setTimeout as pause } from 'node:timers/promises'
import { expect, it, onTestFinished } from 'vitest'
import { openStore } from '../../../server/store/sqlite.js'
import { built } from '../../built.js'
import { eventually } from '../../eventually.js'
import { temporaryFolder } from '../../temporary-folder.js'
import { readingNumber, sensorCount, start } from './numbered.js'
import { onDisk, sealed, summaries, widths } from './sealed.js'

const kills = 20

/** runs until it has sealed for a random while, then is killed; @returns how many it had said to be stored */
const killedWhileSealing = async (program: string, folder: string, first: number): Promise<number> => {
  const child = spawn(process.execPath, [program, folder, String(first)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  onTestFinished(() => {
    child.kill('SIGKILL')
  })
  let said = ''
  child.stdout.on('data', (bytes: Buffer) => {
    said += bytes.toString()
  })
  await eventually(() => expect(said).toMatch(/sealing/), 2)
  await pause(Math.random() * 150)
  child.kill('SIGKILL')
  await new Promise(resolve => child.once('close', resolve))
  return Number([...said.matchAll(/^(\d+)$/gm)].at(-1)?.[1] ?? first)
}

it(`a process killed ${kills} times in the middle of sealing loses no reading, doubles none, and sums them right`, async () => {
  const folder = temporaryFolder()
  const program = await built(join(import.meta.dirname, 'seal-process.ts'))
  let count = 0
  let inTheMiddle = 0
  for (let kill = 0; kill < kills; kill += 1) {
    const said = await killedWhileSealing(program, folder, count)
    const { groups, sealed: inBlocks } = onDisk(folder)
    const store = openStore(folder, { sealSlice: 1 })
    const numbers = [...store.readings(0, Number.POSITIVE_INFINITY)].flat()
    if (groups > 0 && inBlocks > 0 && inBlocks < numbers.length) inTheMiddle += 1
    // its last commit may not have been said any more: then the whole group is there
    expect([said, said + 200]).toContain(numbers.length)
    count = numbers.length
    const expected = Array.from({ length: count }, (_, number) => readingNumber(number))
    expected.sort((a, b) => a.at - b.at)
    expect(numbers).toEqual(expected)
    const span = [start, start + 7_200_000 + count * 500] as const
    for (const width of widths) {
      const { kept, anew } = summaries(store, folder, width, span)
      expect(kept.map(({ sum, ...exact }) => exact)).toEqual(anew.map(({ sum, ...exact }) => exact))
      // all values are 16ths, whose sums are exact
      expect(kept.map(({ sum }) => sum)).toEqual(anew.map(({ sum }) => sum))
    }
    // sent again after the kill, as a broker does
    expect(store.append(expected.slice(-500))).toEqual([])
    store.close()
  }
  expect(inTheMiddle).toBeGreaterThan(kills / 4)
  const store = openStore(folder)
  sealed(store)
  expect(onDisk(folder)).toEqual({ groups: 0, sealed: count })
  expect([...store.readings(0, Number.POSITIVE_INFINITY)].flat()).toHaveLength(count)
  expect(store.latest()).toHaveLength(sensorCount)
  store.close()
})
