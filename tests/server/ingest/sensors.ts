import type { Sensor } from '../../../core/shop.js'
import type { IngestLog } from '../../../server/ingest/ingest.js'

/** a sensor as the shop file would give it, with what a test wants different */
export const sensor = (id: string, different: Partial<Sensor> = {}): Sensor & { topic: string } => ({
  id,
  name: id,
  topic: `shop/${id}`,
  payload: { kind: 'json', value: 'value', time: 'time' },
  unit: '°C',
  interval: 10,
  uncertainty: 0.05,
  offset: 0,
  at: { kind: 'shop air' },
  ...different,
})

/** a log that keeps its lines */
export const keptLog = (): IngestLog & { lines: string[] } => {
  const lines: string[] = []
  const line = (level: string) => (text: string) => {
    lines.push(`${level}: ${text}`)
  }
  return { lines, info: line('info'), warn: line('warn'), error: line('error') }
}

/** a sensor that the shop's `topics`, or Sparkplug, find */
export const withoutTopic = (id: string, different: Partial<Sensor> = {}): Sensor => {
  const { topic: _, ...rest } = sensor(id, different)
  return rest
}
