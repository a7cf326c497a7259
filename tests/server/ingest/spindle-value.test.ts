import { expect, it } from 'vitest'
import { readValue } from '../../../server/ingest/value.js'

it.each([
  [6000, '1/min', 1, 100],
  ['6000', '1/min', 1, 100],
  ['6000 rpm', '1/min', 1, 100],
  // turning the other way warms it as much
  [-3000, '1/min', 1, 50],
  [60, '1/min', 100, 100],
  ['12.5', 'µm', 1, 12.5e-6],
  ['0.012 mm', 'µm', 1, 12e-6],
  [0.0005, 'in', 1, 12.7e-6],
] as const)('%s in %s times %s is %s', (raw, unit, scale, value) => {
  const read = readValue(raw, unit, scale)
  expect('value' in read ? read.value : read.reason).toBeCloseTo(value, 12)
})

it.each([
  [1e9, '1/min', 'not a possible speed or length'],
  ['fast', '1/min', 'not a number'],
  ['6000 µm', '1/min', 'not a number'],
  [20, 'mm', undefined],
  [1e6, 'mm', 'not a possible speed or length'],
  [Number.POSITIVE_INFINITY, 'µm', 'not a finite number'],
  ['n/a', '1/min', 'sent without a value'],
] as const)('%s in %s is refused: %s', (raw, unit, reason) => {
  const read = readValue(raw, unit)
  expect('reason' in read ? read.reason : undefined).toBe(reason)
})
