import type { Sensor } from '../../core/shop.js'
import { cellText } from '../csv.js'
import type { Reading } from '../ingest/reading.js'

/** rows written at once */
const together = 500

/**
 * Readings as a recording in the very form that `readRecording` takes back without loss: a row for each, °C as
 * measured, before the sensor's offset. Numbers are written so that reading them gives the same number.
 *
 * @returns pieces of CSV text (RFC 4180)
 */
export function* recordingTable(readings: Iterable<Reading>, sensors: readonly Sensor[]): Generator<string> {
  const known = new Map(sensors.map(s => [s.id, { id: cellText(s.id), unit: s.unit === 'state' ? 'state' : '°C' }]))
  let text = 'time,sensor,value,unit,received\r\n'
  let rows = 0
  for (const { sensor, at, value, receivedAt } of readings) {
    const named = known.get(sensor)
    if (!named) continue
    text += `${new Date(at).toISOString()},${named.id},${value},${named.unit},${new Date(receivedAt).toISOString()}\r\n`
    rows += 1
    if (rows % together !== 0) continue
    yield text
    text = ''
  }
  if (text !== '') yield text
}
