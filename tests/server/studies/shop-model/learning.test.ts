import { expect, it, onTestFinished } from 'vitest'
import type { ShopModel } from '../../../../core/shop-model/index.js'
import { openStore } from '../../../../server/store/sqlite.js'
import { sensorsOfShop } from '../../../../server/studies/shop-model/courses.js'
import { isLearningDue, startShopLearning } from '../../../../server/studies/shop-model/index.js'
import { machineSources } from '../../../../server/studies/shop-model/sources.js'
import { createBesideWorker } from '../../../../server/worker/index.js'
import { temporaryFolder } from '../../../temporary-folder.js'
import { factsInMemory } from '../../store/facts-in-memory.js'
import { courses, end, shop, told } from './hall-shop.js'

const day = 86_400_000

const filled = () => {
  const folder = temporaryFolder()
  const store = openStore(folder)
  onTestFinished(() => store.close())
  for (const [sensor, values] of told)
    store.append(
      [...values].map((value, i) => {
        const at = courses.from + i * 300_000 + 150_000
        return { sensor, at, value, receivedAt: at }
      }),
    )
  const beside = createBesideWorker({ folder, shop })
  onTestFinished(() => beside.stop())
  return { store, beside }
}

it('the model of the shop is learned on the thread once a day, kept, and asked by questions about days it saw', async () => {
  const { store, beside } = filled()
  const said: string[] = []
  const errors: unknown[] = []
  let learned: Promise<unknown> = Promise.resolve()
  const learn: typeof beside.learn = now => {
    const model = beside.learn(now)
    learned = model
    return model
  }
  let now = end
  const service = startShopLearning(
    shop,
    store,
    { learn },
    () => now,
    () => true,
    { info: (text: string) => said.push(text), error: (text: unknown) => errors.push(text) },
  )
  onTestFinished(() => service.stop())
  const look = async () => {
    const before = said.length
    service.look()
    await new Promise(setImmediate)
    await learned
    for (let k = 0; k < 50 && said.length === before; k++) await new Promise(setImmediate)
  }
  expect(await isLearningDue(shop, store, now)).toBe(true)
  await look()
  expect(errors).toEqual([])
  expect(said).toEqual(['how the shop responds was learned for 2 places'])
  const [model] = await store.facts.of('shop model')
  expect([...model!.halls, ...model!.places].map(({ place }) => place)).toEqual(['s-hall', 'mill/air'])

  now += day / 2
  await look()
  expect(said).toHaveLength(1)
  expect(await isLearningDue(shop, store, now + day)).toBe(true)
  expect(await isLearningDue({ ...shop, sensors: shop.sensors.slice(1) }, store, now)).toBe(true)

  const span = { from: end - 3 * day, to: end }
  const answer = await machineSources({ shop, store }, shop.machines[0]!, span, 'X')
  expect(answer.restsOn).toMatchObject({ learnedAt: end })
  expect(answer.causes[0]!.growth.share.likely).toBeGreaterThan(0.2)
})

it('is tried again within an hour or so while too little is known, and is learned as soon as enough is', async () => {
  const facts = factsInMemory()
  const model: ShopModel = {
    ...{ shop: shop.name, at: end, from: end - 14 * day, to: end, spacing: 300, rests: sensorsOfShop(shop) },
    ...{ halls: [], places: [], alike: [] },
  }
  const place = { place: 'mill/air', influences: [], constant: 20, memory: 0.9, explained: 0.5, days: 3 }
  let now = end
  let tried = 0
  const service = startShopLearning(
    shop,
    { facts },
    // enough is known at the third attempt
    { learn: async at => ({ ...model, at, places: ++tried < 3 ? [] : [place] }) },
    () => now,
    () => true,
    { info: () => undefined, error: () => undefined },
  )
  onTestFinished(() => service.stop())
  const attempts: number[] = []
  for (let quarter = 0; quarter < 24; quarter++) {
    service.look()
    for (let k = 0; k < 20; k++) await new Promise(setImmediate)
    if (tried > attempts.length) attempts.push(quarter)
    now += 900_000
  }
  expect(attempts).toEqual([0, 4, 8])
  expect((await facts.of('shop model')).map(({ places }) => places.length)).toEqual([1])
})
