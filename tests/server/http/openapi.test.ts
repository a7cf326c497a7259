import { describe, expect, it } from 'vitest'
import { appFor, local } from './fakes.js'

describe('/api/openapi.json', () => {
  it('describes every address, with the shapes by name', async () => {
    const { app } = await appFor()
    const reply = await app.inject({ url: '/api/openapi.json', headers: local })
    expect(reply.statusCode).toBe(200)
    const document = reply.json()
    expect(document.openapi).toBe('3.1.0')
    expect(Object.keys(document.paths).sort()).toEqual([
      '/api/calibration/check',
      '/api/calibration/offsets',
      '/api/calibration/offsets/{change}/take-back',
      '/api/heating',
      '/api/inspections',
      '/api/inspections/features',
      '/api/inspections/import',
      '/api/inspections/imports',
      '/api/inspections/imports/{id}/take-back',
      '/api/inspections/preview',
      '/api/investigation',
      '/api/investigation/what-if',
      '/api/jobs',
      '/api/jobs/answers',
      '/api/jobs/preview',
      '/api/jobs/take-over',
      '/api/jobs/{id}',
      '/api/jobs/{id}/withdraw',
      '/api/live',
      '/api/machines',
      '/api/machines/{id}',
      '/api/machines/{id}/alignment',
      '/api/machines/{id}/alignment/{check}/take-back',
      '/api/machines/{id}/datums',
      '/api/machines/{id}/decisions',
      '/api/machines/{id}/environment',
      '/api/machines/{id}/environment/logs',
      '/api/machines/{id}/environment/logs/{log}',
      '/api/machines/{id}/factors',
      '/api/machines/{id}/forecast',
      '/api/machines/{id}/growth',
      '/api/machines/{id}/happened',
      '/api/machines/{id}/identifications',
      '/api/machines/{id}/learning',
      '/api/machines/{id}/measurements',
      '/api/machines/{id}/measurements/{measurement}/set-aside',
      '/api/machines/{id}/setbacks',
      '/api/machines/{id}/sources',
      '/api/machines/{id}/sources-ahead',
      '/api/machines/{id}/spindle',
      '/api/machines/{id}/spindle/run',
      '/api/machines/{id}/spindle/run/{run}/events',
      '/api/machines/{id}/spindle/run/{run}/finish',
      '/api/machines/{id}/spindle/run/{run}/give-up',
      '/api/machines/{id}/spindle/{test}/take-back',
      '/api/machines/{id}/temperatures',
      '/api/machines/{id}/tool-lists',
      '/api/machines/{id}/tool-lists/preview',
      '/api/machines/{id}/tool-lists/{list}',
      '/api/machines/{id}/tool-lists/{list}/withdraw',
      '/api/machines/{id}/verdicts',
      '/api/machines/{id}/what-if',
      '/api/machines/{id}/work-changes',
      '/api/machines/{id}/work-changes/{change}/take-back',
      '/api/morning',
      '/api/morning.txt',
      '/api/morning/night',
      '/api/readings',
      '/api/recording',
      '/api/recording/choices',
      '/api/recording/import',
      '/api/recording/imports',
      '/api/recording/imports/{id}/take-back',
      '/api/records',
      '/api/records/{kind}/{id}',
      '/api/refusals',
      '/api/sensors',
      '/api/sensors/courses',
      '/api/series',
      '/api/shop',
      '/api/store',
      '/api/unassigned-topics',
      '/healthz',
      '/metrics',
    ])
    expect(Object.keys(document.components.schemas)).toEqual(
      expect.arrayContaining(['Shop', 'Machine', 'Sensor', 'Verdict', 'Reason', 'Datum', 'Refusal']),
    )
    const machines = document.paths['/api/machines'].get
    expect(machines.responses['200'].content['text/csv']).toBeDefined()
    expect(JSON.stringify(machines.responses['200'].content['application/json'])).toContain(
      '#/components/schemas/Machine',
    )
    expect(
      document.paths['/api/machines/{id}/datums'].post.requestBody.content['application/json'].schema.required,
    ).toEqual(['by'])
  })

  it('refers to nothing it does not hold', async () => {
    const { app } = await appFor()
    const document = (await app.inject({ url: '/api/openapi.json', headers: local })).json()
    const names = [...JSON.stringify(document).matchAll(/#\/components\/schemas\/(\w+)/g)].map(m => m[1]!)
    expect(names.length).toBeGreaterThan(5)
    for (const name of names) expect(document.components.schemas).toHaveProperty(name)
  })
})
