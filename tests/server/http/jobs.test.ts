import { describe, expect, it } from 'vitest'
import type { PlannedJob } from '../../../core/morning/index.js'
import { answeredAnswer, enteredAnswer, jobsAnswer, previewAnswer } from '../../../server/http/schemas/jobs.js'
import { sixTools } from '../../core/spindle/sent-test.js'
import { appFor, local, mill, now, shop } from './fakes.js'

const hour = 3_600_000
const day = 24 * hour
/** 09:00 in Vienna */
const today = '2026-03-02'
const one = {
  part: 'Pump housing',
  size: '40 H7',
  material: 'steel',
  machine: 'Mill',
  start: '10:30',
  duration: '45 min',
}

const planning = async () => {
  const fixture = await appFor()
  const send = async (method: 'POST' | 'PUT', url: string, payload: object) => {
    const { statusCode, ...answer } = await fixture.app.inject({
      method,
      url: `/api/jobs${url}`,
      headers: local,
      payload: { ...(url !== '/preview' && { by: 'Ada' }), ...payload },
    })
    return { statusCode, body: answer.json() }
  }
  const list = async (query = ''): Promise<PlannedJob[]> => {
    const answer = (await fixture.app.inject({ url: `/api/jobs${query}`, headers: local })).json()
    return jobsAnswer.parse(answer).jobs
  }
  return { ...fixture, send, list }
}

describe('planned jobs', () => {
  it('takes a job as people write it, and lists it on its day', async () => {
    const { send, list } = await planning()
    const { statusCode, body } = await send('POST', '', { one })
    expect(statusCode).toBe(201)
    const [job] = enteredAnswer.parse(body).added
    expect(job).toMatchObject({
      part: 'Pump housing',
      features: [{ name: '', length: 0.04, tolerance: expect.closeTo(25e-6, 12), grade: 'H7' }],
      material: 'steel',
      machines: ['mill'],
      start: now + 1.5 * hour,
      duration: 2700,
      share: 0.3,
      zeroedAt: 'job start',
      from: { kind: 'shop' },
      by: 'Ada',
      enteredAt: now,
    })
    expect(await list()).toEqual([job])
    expect(await list('?day=2026-03-03')).toEqual([])
  })

  it('takes the speed of the spindle as it is said, or as the tools of its list turn', async () => {
    const { app, send } = await planning()
    const payload = { by: 'Ada', name: 'Pump, side A', tools: sixTools }
    const url = '/api/machines/mill/tool-lists'
    const { id } = (await app.inject({ method: 'POST', url, headers: local, payload })).json()
    const planned = async (cells: object) =>
      enteredAnswer.parse((await send('POST', '', { one: { ...one, ...cells } })).body).added[0]!
    expect(await planned({ speed: '6000.5 rpm' })).toMatchObject({ speed: 6000.5 / 60 })
    expect(await planned({ speed: '9000' })).toMatchObject({ speed: 150 })
    expect(await planned({ tools: 'pump, side a' })).toMatchObject({ tools: id, speed: 11_500 / 60 })
    expect(await planned({ tools: 'Pump, side A', speed: '8000 1/min' })).toMatchObject({ tools: id, speed: 8000 / 60 })
    expect(await planned({})).not.toHaveProperty('speed')
  })

  it.each([
    ['40 H7', '', 0.04, 25e-6, 'H7'],
    ['Ø 80 mm h6', '', 0.08, 19e-6, 'h6'],
    ['IT6 at 80 mm', '', 0.08, 19e-6, 'IT6'],
    ['80', 'IT6', 0.08, 19e-6, 'IT6'],
    ['1.5 in H7', '', 0.0381, 25e-6, 'H7'],
    ['1.5 in', '0.0006 in', 0.0381, 15.24e-6, undefined],
    ['40,5 mm', '±0,01 mm', 0.0405, 20e-6, undefined],
    ['40 mm ± 0.01 mm', '', 0.04, 20e-6, undefined],
  ])('reads the size %j with the tolerance %j', async (size, tolerance, length, width, grade) => {
    const { send } = await planning()
    const { body } = await send('POST', '', { one: { ...one, size, tolerance } })
    const [feature] = enteredAnswer.parse(body).added[0]!.features
    expect(feature!.length).toBeCloseTo(length, 12)
    expect(feature!.tolerance).toBeCloseTo(width, 12)
    expect(feature!.grade).toBe(grade)
  })

  it.each([
    [{ size: '40' }, 'tolerance', /no tolerance/],
    [{ size: '40 H4' }, 'size', /IT4/],
    [{ size: '40 H7', tolerance: '22 µm' }, 'tolerance', /said 2 times/],
    [{ size: '1,500 mm H7' }, 'size', /decimal comma/],
    [{ size: '40 mm', tolerance: '50 mm' }, 'tolerance', /below the size/],
    [{ size: 'a bore H7' }, 'size', /number/],
    [{ machine: 'Mull' }, 'machine', /not a machine/],
    [{ machine: 'any' }, 'machine', /no machine of the shop file says/],
    [{ material: 'stale' }, 'material', /no material/],
    [{ start: 'soon' }, 'start', /not a time/],
    [{ start: '2027-03-02 07:00' }, 'start', /60 days/],
    [{ duration: '45' }, 'duration', /no unit/],
    [{ share: '60 %' }, 'share', /50 %/],
    [{ axis: 'Q' }, 'axis', /not an axis/],
    [{ from: 'outdoors' }, 'brought', /not said when/],
    [{ from: 'store', brought: '09:00' }, 'temperature', /nothing is written/],
    [{ from: 'outdoors', brought: '11:00' }, 'brought', /after the job starts/],
    [{ mass: '5 kg', thickness: '20 mm' }, 'thickness', /twice/],
    [{ zeroed: 'never' }, 'zeroed', /not one of/],
    [{ speed: 'fast' }, 'speed', /number/],
    [{ speed: '0 1/min' }, 'speed', /above 0/],
    [{ speed: '400000' }, 'speed', /highest speed/],
    [{ tools: 'Housing' }, 'tools', /no tool list/],
  ])('refuses %j, and says where and what would be right', async (cells, column, problem) => {
    const { send, list } = await planning()
    const { statusCode, body } = await send('POST', '', { one: { ...one, ...cells } })
    expect(statusCode).toBe(400)
    expect(body.error.where).toBe(`body "one", ${column}`)
    expect(body.error.what).toMatch(problem)
    expect(body.error.remedy.length).toBeGreaterThan(10)
    expect(await list()).toEqual([])
  })

  const table = [
    'part;feature;size;tolerance (µm);material;machine;start;duration;from;temperature;brought;mass',
    'Gearbox case;bores;320,5 mm;24;grey iron;Mill;11:00;2 h;store;5 °C;06:30;38 kg',
    ';bore;120 H6;;;;;;;;;',
    'Shaft;seat;60 k6;;steel;Mull;08:15;1 h;;;;',
    'Plate;;400 mm;;steel;Mill;12:00;1 h;;;;',
    'Rail;;40 IT6;;steel;mill;2026-03-02 13:00;90 min;;;;',
    ';no job;10 mm;x;;;;;;;;',
    'Ring;;"40 H7;;steel;Mill;14:00;1 h;;;;',
  ].join('\n')

  it('takes the good rows of a table, refuses the bad ones with row, column, reason and remedy, and shows it before', async () => {
    const { send, list } = await planning()
    const preview = previewAnswer.parse((await send('POST', '/preview', { csv: table })).body)
    expect(await list()).toEqual([])
    const { statusCode, body } = await send('POST', '', { csv: table })
    expect(statusCode).toBe(201)
    const { added, refused } = enteredAnswer.parse(body)
    expect(refused.map(({ line, column }) => [line, column])).toEqual([
      [4, 'machine'],
      [5, 'tolerance'],
      [7, 'tolerance'],
      [8, ''],
    ])
    for (const { problem, remedy } of refused) expect(Math.min(problem.length, remedy.length)).toBeGreaterThan(8)
    expect(added.map(({ part }) => part)).toEqual(['Gearbox case'])
    expect(added[0]).toMatchObject({
      features: [
        { name: 'bores', length: 0.3205, tolerance: 24e-6 },
        { name: 'bore', length: 0.12, tolerance: 22e-6, grade: 'H6' },
      ],
      from: { kind: 'store', temperature: 5, broughtIn: now - 2.5 * hour },
      size: { mass: 38 },
    })
    expect(preview.refused).toEqual(refused)
    expect(preview.jobs.map(({ part }) => part)).toEqual(['Gearbox case'])
    expect(await list()).toEqual(added)
  })

  it('refuses a text that is no table as a whole', async () => {
    const { send } = await planning()
    const { statusCode, body } = await send('POST', '', { csv: 'part;size\nA;40 H7' })
    expect(statusCode).toBe(400)
    expect(body.error.what).toMatch(/no heading "material"/)
  })

  it('changes and withdraws a job, each once from what was seen', async () => {
    const { send, list, store } = await planning()
    const { added } = (await send('POST', '', { one })).body
    const id = added[0].id
    const changed = await send('PUT', `/${id}`, { one: { ...one, start: '12:00', machine: 'mill' } })
    expect(changed).toMatchObject({ statusCode: 200, body: { id, start: now + 3 * hour } })
    expect(await list()).toEqual([changed.body])
    expect((await send('PUT', `/${id}`, { one: { ...one, start: '2026-03-03 12:00' } })).statusCode).toBe(409)
    // what somebody else closes meanwhile is closed once
    await expect(
      store.facts.record('job change', [
        { day: today, job: id, version: id, at: now, by: 'Bo', note: '', became: null },
      ]),
    ).rejects.toThrow()
    expect((await send('POST', `/${id}/withdraw`, {})).statusCode).toBe(200)
    expect(await list()).toEqual([])
    expect((await send('POST', `/${id}/withdraw`, {})).statusCode).toBe(404)
    expect(await store.facts.of('planned job')).toHaveLength(1)
  })

  it('takes the list of an earlier day over by the shop’s clocks, and not twice', async () => {
    const { send, list, monitor } = await planning()
    await send('POST', '', { one: { ...one, from: 'outdoors', brought: '06:30' } })
    // over the night in which clocks are put forward in Vienna
    monitor.now = now + 27 * day
    const taken = await send('POST', '/take-over', { from: today })
    expect(taken.statusCode).toBe(201)
    const [job] = await list('?day=2026-03-29')
    expect(job).toMatchObject({
      start: Date.UTC(2026, 2, 29, 8, 30),
      from: { kind: 'outdoors', broughtIn: Date.UTC(2026, 2, 29, 4, 30) },
    })
    expect((await send('POST', '/take-over', { from: today })).body.added).toEqual([])
    monitor.now += day
    expect((await send('POST', '/take-over', {})).body.added).toMatchObject([{ part: 'Pump housing' }])
  })

  it('knows where a part can be made by the shop file', async () => {
    const other = { ...mill, id: 'other', name: 'Other mill', makes: ['Pump*', 'bores'] }
    const { app } = await appFor({}, { shop: { ...shop, machines: [mill, other] } })
    const machines = async (machine: string) =>
      (
        await app.inject({
          method: 'POST',
          url: '/api/jobs',
          headers: local,
          payload: { by: 'Ada', one: { ...one, machine } },
        })
      ).json().added[0].machines
    expect(await machines('any')).toEqual(['other'])
    expect(await machines('Mill')).toEqual(['mill', 'other'])
    expect(await machines('Other mill or Mill')).toEqual(['other', 'mill'])
  })

  it('has no answers kept before any was given', async () => {
    const { app } = await planning()
    const answer = (await app.inject({ url: '/api/jobs/answers', headers: local })).json()
    expect(answeredAnswer.parse(answer)).toEqual({ day: today, answers: [] })
  })
})
