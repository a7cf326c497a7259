import { z } from 'zod'
import { formerly } from './quantities.js'

// A sensor: where it is, how its messages are read, and how well its readings are known.

const at = z.string().describe('a path like the others, or the name of a Sparkplug metric')
const battery = z.object({
  at,
  unit: z.enum(['%', 'V']),
  low: z.number().optional().describe("in that unit; at or below it is low. The shop's for % if not given, none for V"),
})
/** Where a device tells what is left in its battery. */
export type BatteryForm = z.infer<typeof battery>
const signal = z.object({ at, unit: z.enum(['dBm', '%']) })
/** Where a device tells how well it is received. */
export type SignalForm = z.infer<typeof signal>
const condition = { battery: battery.optional(), signal: signal.optional() }

export const payload = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('number') }),
  z.object({
    kind: z.literal('json').describe('dotted paths into a JSON message; "." is the whole'),
    value: z.string(),
    time: z.string().optional().describe('without it, the moment of arrival counts'),
    readings: z.string().optional().describe('where a list of readings is; the other paths then begin at each item'),
    name: z.string().optional().describe('where the message, or the item, names its sensor'),
    unit: z.string().optional().describe("where it says its unit; the sensor's where it says none"),
    timeZone: z.string().optional().describe('IANA name, for times without a zone; they are refused if not given'),
    ...condition,
  }),
])
/** How a message is read. */
export type PayloadForm = z.infer<typeof payload>

const sparkplugMetric = z.object({
  group: z.string(),
  node: z.string(),
  device: z.string().optional(),
  metric: z.string(),
  ...condition,
})
/** A metric of an Eclipse Sparkplug B edge node, or of a device behind it. */
export type SparkplugMetric = z.infer<typeof sparkplugMetric>

const calibration = z.object({
  date: z.string().optional().describe("ISO 8601 day in the shop's time zone"),
  due: z.string().optional().describe('ISO 8601 day; by its end it must have been calibrated again'),
  uncertainty: z.number().optional().describe('K, standard; already in that of the sensor'),
  certificate: z.string().optional().describe('number or name of the certificate'),
})
/** What is known of a sensor's last calibration. */
export type Calibration = z.infer<typeof calibration>

const place = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('node'), machine: z.string(), node: z.string() }),
  // beside a door, vent or heat source; a `state` sensor here tells whether it is open or running
  z.object({ kind: z.literal('source'), source: z.string() }),
  // tells what its spindle turns at, or a probe's reading of its growth
  z.object({ kind: z.literal('spindle'), machine: z.string() }),
  z.object({ kind: z.literal('shop air') }),
  z.object({ kind: z.literal('outdoors') }),
])
/** Where a sensor is. */
export type SensorPlace = z.infer<typeof place>

export const sensor = z.object({
  id: z.string(),
  batch: z
    .object({ name: z.string(), uncertainty: z.number().describe('K, standard') })
    .optional()
    .describe('sensors of one batch share an offset nobody knows'),
  name: z.string(),
  formerly,
  topic: z.string().optional().describe("in full; not given when it is found by the shop's `topics` or by `sparkplug`"),
  nameOnBroker: z
    .string()
    .optional()
    .describe('what messages call it where they name their sensor; its id if not given'),
  sparkplug: sparkplugMetric.optional(),
  payload: payload.describe('of the messages on its own topic'),
  unit: z
    .enum(['°C', '°F', 'K', 'state', '1/min', 'µm', 'mm', 'in'])
    .describe('of the number on the wire; `state`: open or closed, on or off; a speed or a length only at a spindle'),
  scale: z.number().optional().describe('the number on the wire times this is in `unit`; 1 if not given'),
  interval: z.number().describe('s; how often it is expected to report'),
  uncertainty: z.number().describe("K, standard: of its calibration, the certificate's where there is one"),
  calibration: calibration.optional(),
  resolution: z.number().optional().describe('K; the step its readings move in, where they may not show it'),
  offset: z
    .number()
    .describe("K; added to every reading: the file's, or the one accepted last after a common-temperature check"),
  at: place,
  position: z
    .object({ x: z.number(), y: z.number(), z: z.number() })
    .optional()
    .describe('m; where it is in the shop, from a corner that all positions are counted from'),
})
/** A sensor of temperature, of whether a door, vent or heat source is open or running, or of a spindle. */
export type Sensor = z.infer<typeof sensor>

/** Whether a sensor tells a temperature; others tell a state (1 or 0), a speed (1/s) or a length (m). */
export const isThermometer = ({ unit }: Pick<Sensor, 'unit'>): boolean => unit === '°C' || unit === '°F' || unit === 'K'
