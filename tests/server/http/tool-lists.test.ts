import { describe, expect, it } from 'vitest'
import type { StructureElement } from '../../../core/shop.js'
import type { ToolPlanAnswer } from '../../../core/spindle/index.js'
import { sentTest, sixTools } from '../../core/spindle/sent-test.js'
import { appFor, everyMinute, local, mill, now, shop } from './fakes.js'

const atTheMachine = async () => {
  const { app, store } = await appFor()
  const url = '/api/machines/mill'
  const get = async (path: string) => app.inject({ url: url + path, headers: local })
  const send = (payload: object, path = '/tool-lists', method: 'POST' | 'PUT' = 'POST') =>
    app.inject({ method, url: url + path, headers: local, payload })
  return { get, send, store }
}
const housing = { by: 'Ada', name: 'Bearing housing', change: '24 s', tools: sixTools }

describe('tool lists', () => {
  it('are kept at their address and planned on the newest growth test', async () => {
    const { get, send } = await atTheMachine()
    const added = (await send(housing)).json()
    expect(added).toMatchObject({ machine: 'mill', name: 'Bearing housing', by: 'Ada', start: { kind: 'cold' } })
    expect(added.job.before).toEqual([
      [0, 1],
      [0, 3],
      [2, 3],
      [2, 4],
    ])
    expect(added.job.tools[1]).toEqual({
      name: 'T7 ball end mill',
      length: 0.12,
      speed: expect.closeTo(191.667, 2),
      cutting: 720,
      tolerance: 10e-6,
      share: 0.3,
    })
    const address = `/tool-lists/${added.id}`
    // without a growth test there is the list, and no answer
    expect((await get(address)).json()).toMatchObject({ list: added, test: null, answer: null })
    await send(sentTest(1, '2026-01-14 06:00'), '/spindle')
    const { test, answer, axes }: ToolPlanAnswer = (await get(address)).json()
    expect(test!.fits).toBe(true)
    expect(answer!.exact).toBe(true)
    expect(answer!.best.dwell).toBeLessThan(answer!.given.dwell)
    const order = answer!.best.cuts.map(({ tool }) => tool)
    for (const [first, second] of added.job.before) expect(order.indexOf(first)).toBeLessThan(order.indexOf(second))
    expect(axes).toMatchObject([{ axis: 'X', follows: 'screw', from: null, duration: null }])
    // no column of this machine bends, and nobody stated a tilt
    expect(answer!.arms).toBeNull()
    const table = (await get(`${address}?format=csv&order=given`)).body.trim().split('\r\n')
    expect(table).toHaveLength(7)
    expect(table[0]).toMatch(/^tool,lengthMetres,speedPerSecond/)
    expect(table[2]).toMatch(/^T7 ball end mill,0.12,/)
  })

  it('can be changed at the same address, and withdrawn once', async () => {
    const { get, send } = await atTheMachine()
    const { id } = (await send(housing)).json()
    const changed = {
      ...housing,
      by: 'Ben',
      tilt: '20 µm/m',
      workHeight: '0.15 m',
      start: { kind: 'ran', speed: '6000 rpm', duration: '30 min' },
    }
    expect((await send(changed, `/tool-lists/${id}`, 'PUT')).json()).toMatchObject({
      id,
      by: 'Ben',
      tilt: 20e-6,
      start: { kind: 'ran', speed: 100, duration: 1800, rest: 0 },
      changedAt: now,
    })
    expect((await get('/tool-lists')).json().lists).toMatchObject([{ id, by: 'Ben', workHeight: 0.15 }])
    expect((await send({ by: 'Ada', note: 'done' }, `/tool-lists/${id}/withdraw`)).statusCode).toBe(200)
    expect((await get('/tool-lists')).json()).toEqual({ lists: [] })
    expect((await get(`/tool-lists/${id}`)).statusCode).toBe(404)
    expect((await send({ by: 'Ada' }, `/tool-lists/${id}/withdraw`)).statusCode).toBe(404)
  })

  it('come as a table too, whose faults are told row by row', async () => {
    const { send } = await atTheMachine()
    const table = [
      'tool;length (mm);speed (1/min);cutting (min);tolerance (µm);share;after',
      'T1;95;3500;8;33,5;30 %;',
      'T1;95;fast;8;33;30 %;',
      'T2;14 m;5000;6;50;;T1',
      'T3;80;8000;3;50;;T9',
      'T4;80;8000;3 kg;50;;T3',
    ].join('\n')
    const read = (await send({ csv: table }, '/tool-lists/preview')).json()
    expect(read.tools).toMatchObject([{ name: 'T1', tolerance: 33.5e-6 }])
    expect(read.refused.map(({ line, column }: { line: number; column: string }) => [line, column])).toEqual([
      [3, 'tool'],
      [4, 'length'],
      [5, 'after'],
      [6, 'cutting'],
    ])
    const refused = await send({ by: 'Ada', name: 'x', csv: table })
    expect(refused.statusCode).toBe(400)
    expect(refused.json().error).toMatchObject({ where: 'line 3, tool', what: expect.stringContaining('and 3 more') })
    const good = table.split('\n').slice(0, 2).join('\n')
    expect((await send({ by: 'Ada', name: 'x', csv: good })).statusCode).toBe(201)
  })

  it.each([
    [{ tools: [] }, /tools|too_small|Too small/],
    [{ name: ' ' }, /what the job is called/],
    [{ change: '5' }, /no unit/],
    [{ tilt: 'a little' }, /length for a length/],
    [{ csv: 'tool' }, /two lists/],
    [{ tools: [...sixTools, { ...sixTools[0], tool: 'T13', after: 'T14' }] }, /T14.*further up/],
    [{ warmUp: { highest: '3000 1/min', step: '1000 1/min', hold: '5 min' } }, /faster than the warm-up/],
    [{ warmUp: { highest: '12000 1/min', step: '1 1/min', hold: '5 min' } }, /more than 50 steps/],
  ])('are refused with what is wrong and what would be right: %j', async (change, words) => {
    const { get, send } = await atTheMachine()
    const reply = await send({ ...housing, ...change })
    expect(reply.statusCode).toBe(400)
    expect(reply.json().error.what).toMatch(words)
    expect(reply.json().error.remedy).not.toBe('')
    expect((await get('/tool-lists')).json()).toEqual({ lists: [] })
  })

  it('and no test of it, go faster than the machine’s builder allows', async () => {
    const limited = { ...mill, spindle: { axis: 'X', sign: -1 as const, highest: 11_000 / 60 } }
    const { app } = await appFor({}, { shop: { ...shop, machines: [limited] } })
    const send = async (path: string, payload: object) => {
      const url = `/api/machines/mill${path}`
      const { statusCode, ...reply } = await app.inject({ method: 'POST', url, headers: local, payload })
      return { statusCode, error: reply.json().error }
    }
    const plan = { readAt: [60], readWith: 'dial indicator', sign: 1, toolLength: null, indicatorHeight: null }
    const test = (speed: number) => ({
      by: 'Ada',
      plan: { ...plan, resolution: 1e-6, stop: null, steps: [{ speed, duration: 3600 }] },
    })
    expect(await send('/tool-lists', housing)).toMatchObject({
      statusCode: 400,
      error: {
        what: 'T7 ball end mill would turn at 11500 1/min; the highest speed of Mill is 11000 1/min.',
        where: 'tool 2, speed',
      },
    })
    const slower = { ...housing, tools: sixTools.filter(({ tool }) => !tool.startsWith('T7')) }
    const warmUp = { highest: '12000 1/min', step: '4000 1/min', hold: '5 min' }
    expect(await send('/tool-lists', { ...slower, warmUp })).toMatchObject({
      statusCode: 400,
      error: { where: 'body "warmUp", highest' },
    })
    expect((await send('/tool-lists', slower)).statusCode).toBe(201)
    expect(await send('/spindle/run', test(200))).toMatchObject({
      statusCode: 400,
      error: { where: 'body "plan", "steps"', what: expect.stringContaining('11000 1/min') },
    })
    expect((await send('/spindle/run', test(183))).statusCode).toBe(201)
  })

  it('tell what the column’s bending makes of unlike lengths, by the temperatures since the datum', async () => {
    const column: StructureElement = {
      kind: 'bending column',
      id: 'lean',
      name: 'column',
      axis: 'X',
      sign: 1,
      material: { name: 'steel', alpha: 11.5e-6, alphaUncertainty: 0.05 },
      height: 0.8,
      depth: 0.4,
      front: { 'x-screw': 1 },
      rear: { column: 1 },
    }
    const bending = { ...shop, machines: [{ ...mill, structure: [column] }] }
    const { app, store } = await appFor({}, { shop: bending })
    const hour = 3_600_000
    for (const [sensor, temperature] of [
      ['s-air', 21],
      ['s-screw', 23.5],
      ['s-column', 21],
    ] as const)
      store.kept.set(
        sensor,
        everyMinute(now - 6 * hour, now, () => temperature),
      )
    await store.facts.record('datum', [
      { machine: 'mill', at: now - hour, by: 'Ada', note: '', temperatures: { air: 21, 'x-screw': 22, column: 21 } },
    ])
    const send = (path: string, payload: object) =>
      app.inject({ method: 'POST', url: `/api/machines/mill${path}`, headers: local, payload })
    await send('/spindle', sentTest(1, '2026-01-14 06:00'))
    const { id } = (await send('/tool-lists', { ...housing, workHeight: '100 mm' })).json()
    const reply = await app.inject({ url: `/api/machines/mill/tool-lists/${id}`, headers: local })
    const { arms } = (reply.json() as ToolPlanAnswer).answer!
    // the shop file's offset is 0.5 K on the screw: 24 − 21 K now, 22 − 21 K at the datum, 2 K · 11.5 µm/m/K · 0.8/0.4
    expect(arms).toMatchObject({ from: 'since datum', axis: 'X', slope: expect.closeTo(46e-6, 7) })
    // T9 is 85 mm longer than T1: 3.9 µm, beyond a share of 3 µm; T12 15 mm shorter: 0.7 µm
    expect(arms!.tools.map(({ beyond }) => beyond)).toEqual([false, false, false, false, true, false])
    expect(arms!.tools[4]!.tools.error).toBeCloseTo(46e-6 * 0.085, 8)
    expect(arms!.indicator).toMatchObject({ difference: expect.closeTo(0.05, 9), beyond: false })
  })
})
