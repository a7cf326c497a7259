import { z } from 'zod'
import type { PayloadForm, Sensor, SensorPlace, SparkplugMetric } from '../../core/shop.js'
import { calibration } from './calibration.js'
import { deviceForms, deviceKeys } from './device.js'
import { formerly } from './formerly.js'
import { spoken } from './machine.js'
import { nodeNames, type Outline } from './outline.js'
import { payload } from './payload.js'
import { choice, difference, duration, factor, length, or, positive, reference, text } from './readers.js'
import { inWords, keysIn, picked, type Reader, section, suggestion, value } from './section.js'

const unit = choice('°C', '°F', 'K', 'state', '1/min', 'µm', 'mm', 'in')
/** what a sensor at a spindle tells: its speed, or what a probe reads of its growth */
const spindleUnits: readonly unknown[] = ['1/min', 'µm', 'mm', 'in']
const interval = positive(duration, '10 s')
const resolution = positive(difference, '0.1 K')
const uncertainty = positive(difference, '0.05 K')

const batch = section({ name: value(text('spring delivery')), uncertainty: value(uncertainty) })

/** Where it is in the shop, counted from one corner. */
const position = section({ x: value(length), y: value(length), z: value(length) })

/** What holds for every sensor that does not say otherwise. */
export const sensorDefaults = section({
  unit: value(or(unit, undefined)),
  scale: value(or(factor, undefined)),
  interval: value(or(interval, undefined)),
  resolution: value(or(resolution, undefined)),
  uncertainty: value(or(uncertainty, undefined)),
  offset: value(or(difference, undefined)),
  batch: batch.optional(),
  payload: payload.optional(),
})

/** Where its readings come from: its own topic, a Sparkplug metric, or the shop's `topics`, which need nothing here. */
const topicOf =
  (outline: Outline, written: Record<string, unknown>): Reader<string | undefined> =>
  raw => {
    if (raw !== undefined) {
      const both = written.sparkplug !== undefined
      return both
        ? { problem: 'the sensor has a topic and is a Sparkplug metric', remedy: 'keep topic or sparkplug' }
        : topic(raw)
    }
    if (written.sparkplug !== undefined || outline.hasTopics) return { value: undefined }
    return topic(raw)
  }

const level: Reader<string> = raw => {
  const parsed = text('mill-1')(raw)
  if ('problem' in parsed || !/[+#/]/.test(parsed.value)) return parsed
  return {
    problem: `${inWords(raw)} holds +, # or /`,
    remedy: 'write the name as it stands between two / of the topic',
  }
}

const sparkplug = picked<SparkplugMetric>(raw =>
  section({
    group: value(level),
    node: value(level),
    device: value(or(level, undefined)),
    metric: value(text('Screw/Temperature')),
    ...deviceKeys(text('Battery'), keysIn(raw)),
  }).transform((own): SparkplugMetric => ({ ...own, ...deviceForms(own) })),
)

/** how messages are read is said where their topic is */
const topicElsewhere = {
  payload: 'write payload where the topic is: at this sensor together with its topic, or at an entry of topics',
}

const topic: Reader<string> = raw => {
  const parsed = text('shop/mill-1/x-screw')(raw)
  if ('problem' in parsed) return parsed
  if (/[+#]/.test(parsed.value))
    return {
      problem: `${inWords(raw)} has a wildcard (+ or #)`,
      remedy: 'write the full topic of this one sensor; for many sensors at once see topics',
    }
  if (parsed.value.includes('\0') || Buffer.byteLength(parsed.value) > 65_535)
    return { problem: 'this cannot be an MQTT topic', remedy: 'write at most 65535 bytes and no NUL character' }
  return parsed
}

/** The one place a sensor is at, split as `placeOf` and the checks over the whole file need it. */
export const nodePlace = (written: unknown): { machine: string; node: string } | null => {
  const match = typeof written === 'string' ? /^([^/\s]+)\/([^/\s]+)$/.exec(written.trim()) : null
  return match ? { machine: match[1]!, node: match[2]! } : null
}

const placeOf =
  (outline: Outline): Reader<SensorPlace> =>
  raw => {
    const remedy =
      'write machine/node, "beside" and the name of a source, "spindle of" and a machine, shop air, or outdoors'
    const written = typeof raw === 'string' ? raw.trim() : ''
    if (written === 'shop air' || written === 'outdoors') return { value: { kind: written } }
    const beside = /^beside\s+(\S.*)$/.exec(written)
    if (beside) {
      const source = reference('a source', outline.sources)(beside[1])
      return 'value' in source ? { value: { kind: 'source', source: source.value } } : source
    }
    const spindle = /^spindle of\s+(\S.*)$/.exec(written)
    if (spindle) {
      const machine = reference('a machine', outline.machines && [...outline.machines.keys()])(spindle[1])
      return 'value' in machine ? { value: { kind: 'spindle', machine: machine.value } } : machine
    }
    const at = nodePlace(written)
    if (!at) {
      const choices = ['shop air', 'outdoors', ...(outline.sources ?? []).map(source => `beside ${source}`)]
      const near = suggestion(written, choices, '')
      return {
        problem: `${inWords(raw)} is not a place`,
        remedy: near.startsWith('did') ? `${near} Otherwise ${remedy}` : remedy,
      }
    }
    const machine = reference('a machine', outline.machines && [...outline.machines.keys()])(at.machine)
    if ('problem' in machine) return machine
    const node = reference(`a node of ${at.machine}`, nodeNames(outline.machines?.get(at.machine)))(at.node)
    return 'problem' in node ? node : { value: { kind: 'node', machine: at.machine, node: at.node } }
  }

/** The sensor's own value, or the one in `sensor defaults`, whose mistakes are reported there and not here again. */
const inherited =
  <T>(read: Reader<T>, fallback: unknown): Reader<T> =>
  raw => {
    if (raw !== undefined || fallback === undefined) return read(raw)
    const parsed = read(fallback)
    return 'value' in parsed ? parsed : { value: z.NEVER }
  }

/** @param id its key in the file */
export const sensor = (id: string, outline: Outline) =>
  picked<Sensor>(raw => {
    const defaults = outline.sensorDefaults
    const written = keysIn(raw)
    const isState = (written.unit ?? defaults.unit) === 'state'
    const isAtSpindle = spindleUnits.includes(written.unit ?? defaults.unit)
    // the certificate's uncertainty stands in place of the stated one
    const needsUncertainty = !isState && !isAtSpindle && keysIn(written.calibration).uncertainty === undefined
    const usualBatch = batch.safeParse(defaults.batch)
    const usualPayload = payload.safeParse(defaults.payload)
    const place: Reader<SensorPlace> = at => {
      const parsed = placeOf(outline)(at)
      if ('problem' in parsed) return parsed
      if (isAtSpindle !== (parsed.value.kind === 'spindle'))
        return isAtSpindle
          ? {
              problem: `a sensor with unit: ${written.unit} tells of a spindle, so it cannot be at ${at}`,
              remedy: 'write at: spindle of and the name of a machine, or correct the unit',
            }
          : {
              problem: 'a sensor at a spindle tells its speed or, from a probe, its growth',
              remedy: 'write unit: 1/min, or µm, mm or in; a temperature belongs to a node of the machine',
            }
      if (!isState || parsed.value.kind === 'source') return parsed
      return {
        problem: `a sensor with unit: state tells whether a source is open or running, so it cannot be at ${at}`,
        remedy: 'write at: beside and the name of a door, vent or heat source, or correct the unit',
      }
    }
    const ownTopic = written.topic !== undefined
    const shape = {
      name: value(or(text('Mill 1 X screw'), spoken(id))),
      formerly,
      topic: value(topicOf(outline, written)),
      'name on broker': value(or(text('TT-101'), undefined)),
      sparkplug: sparkplug.optional(),
      at: value(place),
      unit: value(inherited(or(unit, '°C'), defaults.unit)),
      scale: value(inherited(or(factor, undefined), defaults.scale)),
      interval: value(inherited(interval, defaults.interval)),
      // whether a door is open has no uncertainty in kelvin
      uncertainty: value(inherited(needsUncertainty ? uncertainty : or(uncertainty, 0), defaults.uncertainty)),
      calibration: calibration.optional(),
      resolution: value(inherited(or(resolution, undefined), defaults.resolution)),
      offset: value(inherited(or(difference, 0), defaults.offset)),
      batch: batch.optional(),
      position: position.optional(),
    }
    const isMapped = ownTopic || !('payload' in written) || !(outline.hasTopics || written.sparkplug)
    const bare = section(shape, topicElsewhere)
    const own: z.ZodType<z.output<typeof bare> & { payload?: PayloadForm | undefined }> = isMapped
      ? section({ ...shape, payload: payload.optional() })
      : bare
    const otherwise: PayloadForm = usualPayload.success ? usualPayload.data : { kind: 'number' }
    return own.transform(({ batch = usualBatch.data, payload = otherwise, ...each }) => ({
      id,
      ...each,
      ...(batch && { batch }),
      payload,
      uncertainty: each.calibration?.uncertainty ?? each.uncertainty,
    }))
  })
