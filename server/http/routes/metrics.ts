import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { Counter, collectDefaultMetrics, Gauge, Registry } from 'prom-client'
import type { Verdict } from '../../../core/state.js'
import type { Live } from '../live.js'
import type { AppParts } from '../parts.js'

const verdicts: Verdict[] = ['fit', 'settling', 'unfit', 'unknown']

/** Everything is looked up when it is asked for; nothing is counted twice. */
export const metricsRoutes: FastifyPluginAsyncZod<AppParts & { live: Live }> = async (app, parts) => {
  const { monitor, ingestStats, ingestWaiting, storeBytes, live, version } = parts
  const registry = new Registry()
  registry.setContentType(Registry.OPENMETRICS_CONTENT_TYPE as typeof registry.contentType)
  const registers = [registry]
  collectDefaultMetrics({ register: registry })

  new Counter({
    name: 'quiet_iron_ingest_total',
    help: 'Messages by what became of them, since the start',
    labelNames: ['what'],
    registers,
    collect() {
      this.reset()
      for (const [what, count] of Object.entries(ingestStats())) this.inc({ what }, count)
    },
  })
  new Gauge({
    name: 'quiet_iron_verdict',
    help: '1 for the verdict that stands, 0 for the others',
    labelNames: ['machine', 'work_class', 'verdict'],
    registers,
    collect() {
      this.reset()
      for (const { machine, classes } of monitor.machines())
        for (const state of classes)
          for (const verdict of verdicts)
            this.set({ machine, work_class: state.workClass, verdict }, state.verdict === verdict ? 1 : 0)
    },
  })
  new Gauge({
    name: 'quiet_iron_thermal_error_index_percent',
    help: 'Part of the tolerance eaten by heat; absent when unknown',
    labelNames: ['machine', 'work_class'],
    registers,
    collect() {
      this.reset()
      for (const { machine, classes } of monitor.machines())
        for (const { workClass, thermalErrorIndex } of classes)
          if (thermalErrorIndex !== null) this.set({ machine, work_class: workClass }, thermalErrorIndex)
    },
  })
  new Gauge({
    name: 'quiet_iron_sensors',
    help: 'Sensors by trust',
    labelNames: ['trust'],
    registers,
    collect() {
      for (const trust of ['ok', 'late', 'lost', 'suspect']) this.set({ trust }, 0)
      for (const { trust } of monitor.sensors()) this.inc({ trust })
    },
  })
  gauge('quiet_iron_broker_connected', '1 while the broker is connected', () =>
    monitor.shop().broker === 'connected' ? 1 : 0,
  )
  gauge(
    'quiet_iron_newest_reading_timestamp_seconds',
    'Event time of the newest reading, 0 before the first',
    () => (monitor.shop().newestReading ?? 0) / 1000,
  )
  gauge('quiet_iron_ingest_waiting', 'Messages received and not yet committed', ingestWaiting)
  gauge('quiet_iron_storing', '1 while readings can be stored', () => (monitor.shop().unstored === null ? 1 : 0))
  gauge('quiet_iron_store_bytes', 'Bytes of the database on disk', storeBytes)
  gauge('quiet_iron_live_pages', 'Pages listening to the live stream', () => live.clients)
  gauge('quiet_iron_live_cut_off', 'Pages cut off since the start because they did not read', () => live.cutOff)
  new Gauge({ name: 'quiet_iron_info', help: 'The version that runs', labelNames: ['version'], registers }).set(
    { version },
    1,
  )

  app.get('/metrics', {
    schema: { summary: 'Counters and gauges as OpenMetrics text', produces: [registry.contentType] },
    handler: async (_request, reply) => reply.type(registry.contentType).send(await registry.metrics()),
  })

  function gauge(name: string, help: string, value: () => number) {
    new Gauge({
      name,
      help,
      registers,
      collect() {
        this.set(value())
      },
    })
  }
}
