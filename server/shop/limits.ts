import type { z } from 'zod'
import type { Area, EnvironmentLimits } from '../../core/shop.js'
import { spoken } from './machine.js'
import type { Outline } from './outline.js'
import { difference, or, positive, reference, temperature, text } from './readers.js'
import { inWords, isMap, list, looked, picked, type Reader, section, value } from './section.js'

const kinds = ['band', 'rate', 'swing', 'gradient']

/** m */
const foot = 0.3048

const bandRemedy = 'write how far from the reference temperature: 1 K; or from where to where: 18 °C to 23 °C'

/** About the reference temperature, `1 K`, or `18 °C to 23 °C`. */
const band =
  (about: number): Reader<{ lowest: number; highest: number }> =>
  raw => {
    const ends = typeof raw === 'string' ? raw.split(/ to /) : []
    if (ends.length === 2) {
      const [lowest, highest] = [temperature(ends[0]), temperature(ends[1])]
      if ('problem' in lowest) return lowest
      if ('problem' in highest) return highest
      if (lowest.value < highest.value) return { value: { lowest: lowest.value, highest: highest.value } }
      return { problem: `${inWords(raw)} does not rise`, remedy: 'write the lower temperature first: 18 °C to 23 °C' }
    }
    const within = difference(typeof raw === 'string' ? raw.replace(/^(±|\+\/?-) ?/, '') : raw)
    if ('problem' in within || within.value <= 0)
      return { problem: `${inWords(raw)} is not a band`, remedy: bandRemedy }
    return { value: { lowest: about - within.value, highest: about + within.value } }
  }

/** A difference for each hour, metre or foot. @param per what may stand behind the stroke, and how much of it that is */
const each = (per: Record<string, number>, example: string): Reader<number> =>
  positive(raw => {
    const written = typeof raw === 'string' ? raw.trim() : ''
    const stroke = written.lastIndexOf('/')
    const amount = per[written.slice(stroke + 1).trim()]
    const parsed = difference(stroke < 0 ? '' : written.slice(0, stroke))
    if (stroke < 0 || amount === undefined || 'problem' in parsed)
      return { problem: `${inWords(raw)} cannot be read`, remedy: `write for example ${example}` }
    return { value: parsed.value / amount }
  }, example)

const sensorNames = ({ sensors, sensorDefaults }: Outline) =>
  list(
    value(
      reference(
        'a sensor of temperature',
        [...sensors].filter(([, { unit }]) => (unit ?? sensorDefaults.unit) !== 'state').map(([id]) => id),
      ),
    ),
    'write a list of sensors, for example [fine-room-north, fine-room-south]',
  )
const listed = (outline: Outline) =>
  picked<string[] | undefined>(raw => (raw === undefined ? looked(() => undefined) : sensorNames(outline)))

/** What the builder of a machine, or the shop, states of its surroundings. None is ever assumed. */
export const limits = (outline: Outline) =>
  picked<EnvironmentLimits>(raw =>
    isMap(raw) && !kinds.some(kind => raw[kind] !== undefined)
      ? looked((_raw, say) => say('no limit is written', { remedy: `write one at least: ${kinds.join(', ')}` }))
      : written(outline),
  )

const written = (outline: Outline): z.ZodType<EnvironmentLimits> =>
  section({
    band: value(or(band(outline.referenceTemperature), undefined)),
    rate: value(or(each({ h: 1 }, '0.5 K/h'), undefined)),
    swing: value(or(positive(difference, '1.5 K'), undefined)),
    gradient: value(or(each({ m: 1, ft: foot }, '0.5 K/m'), undefined)),
    'stated by': value(text("builder's installation manual")),
    sensors: listed(outline),
  })

/** @param id its key in the file */
export const area = (id: string, outline: Outline) =>
  section({
    name: value(or(text('Fine room'), spoken(id))),
    sensors: picked<string[]>(raw =>
      raw === undefined || (Array.isArray(raw) && raw.length === 0)
        ? looked((_raw, say) => say('no sensor is named', { remedy: 'list the sensors of the area: [fine-room]' }))
        : sensorNames(outline),
    ),
    limits: limits(outline).optional(),
  }).transform((own): Area => ({ id, ...own }))
