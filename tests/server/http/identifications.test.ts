import { expect, it } from 'vitest'
import type { Identification } from '../../../core/settling/index.js'
import { sensorsOfNode } from '../../../server/studies/identification/node.js'
import { appFor, mill, now, shop } from './fakes.js'

const screw = mill.nodes.find(node => node.id === 'x-screw')!
const found: Omit<Identification, 'id'> = {
  machine: 'mill',
  node: 'x-screw',
  at: now - 3_600_000,
  from: now - 14 * 86_400_000,
  to: now - 3_600_000,
  follows: 'air',
  bestAir: 'air',
  advantage: 0,
  sensors: sensorsOfNode(shop, mill, screw),
  accepted: true,
  timeConstant: 3100,
  uncertainty: 0.07,
  standardError: 0.01,
  steadyExcess: 0.2,
  fastShare: 0.04,
  covered63: 3000,
  hours: 330,
  moved: 0.7,
  residualCorrelation: 0.1,
  refusal: null,
  tooLittle: false,
}

it('every body has what is configured, what is used and the last attempt', async () => {
  const { app, store } = await appFor()
  await store.facts.record('identification', [found])
  const answer = await app.inject('/api/machines/mill/identifications')
  expect(answer.statusCode).toBe(200)
  expect(answer.json()).toEqual({
    nodes: [
      {
        node: 'x-screw',
        configured: { timeConstant: null, uncertainty: null },
        inUse: { ...found, id: 1 },
        newest: { ...found, id: 1 },
      },
      { node: 'column', configured: { timeConstant: null, uncertainty: null }, inUse: null, newest: null },
    ],
  })
})

it('the table says why the last attempt is not used, in the shop’s units', async () => {
  for (const [units, said] of [
    ['metric', 'only 0.04 K; 0.10 K are needed'],
    ['inch', 'only 0.07 °F; 0.18 °F are needed'],
  ] as const) {
    const { app, store } = await appFor({}, { shop: { ...shop, units } })
    const refusal = { kind: 'moved little' as const, moved: 0.04, needed: 0.1 }
    await store.facts.record('identification', [{ ...found, accepted: false, refusal, tooLittle: true }])
    expect((await app.inject('/api/machines/mill/identifications?format=csv')).body).toContain(said)
  }
})

it('the same as CSV; an unknown machine is refused with the names there are', async () => {
  const { app, store } = await appFor()
  await store.facts.record('identification', [found])
  const table = await app.inject('/api/machines/mill/identifications?format=csv')
  expect(table.body.split('\r\n')[0]).toContain('inUseSeconds')
  expect(table.body).toContain('3100')
  const unknown = await app.inject('/api/machines/nobody/identifications')
  expect(unknown.statusCode).toBe(404)
  expect(unknown.body).toContain('mill')
})
