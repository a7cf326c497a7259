import type { Sensor } from '../../core/shop.js'
import { cellText } from '../csv.js'
import type { Store } from '../store/store.js'
import { isRecorded, kindOf } from './units.js'

const writtenIn = { temperature: '°C', state: 'state', speed: '1/s' }

/**
 * Readings as a recording in the very form that `readRecording` takes back without loss: a row for each, °C as
 * measured, before the sensor's offset, speeds in 1/s. Numbers are written so that reading them gives the same number.
 *
 * @returns pieces of CSV text (RFC 4180), one for as many readings as the store gives together
 */
export async function* recordingTable(
  readings: ReturnType<Store['readings']>,
  sensors: readonly Sensor[],
): AsyncGenerator<string> {
  const known = new Map(
    sensors.filter(isRecorded).map(s => [s.id, { id: cellText(s.id), unit: writtenIn[kindOf(s.unit)] }]),
  )
  let text = 'time,sensor,value,unit,received\r\n'
  for await (const together of readings) {
    for (const { sensor, at, value, receivedAt } of together) {
      const named = known.get(sensor)
      if (named)
        text += `${new Date(at).toISOString()},${named.id},${value},${named.unit},${new Date(receivedAt).toISOString()}\r\n`
    }
    if (text !== '') yield text
    text = ''
  }
  if (text !== '') yield text
}
