import type { z } from 'zod'
import { standardTolerance } from '../../core/judge/index.js'
import { type Shop, type Source, shopSchema, type WorkClass } from '../../core/shop.js'
import { across } from './across.js'
import { decisionRule } from './decision-rule.js'
import { lowPercent } from './device.js'
import { formerly } from './formerly.js'
import { area } from './limits.js'
import { machine, plainName, plainSpelling, spoken } from './machine.js'
import { materialIn, type Outline, outlineOf } from './outline.js'
import {
  bounded,
  choice,
  duration,
  flag,
  length,
  or,
  percent,
  positive,
  speed,
  temperature,
  text,
  timeZone,
  uncertainExpansion,
} from './readers.js'
import { atLeastOne, keysIn, list, looked, named, picked, type Reader, section, unlessEmpty, value } from './section.js'
import { sensor, sensorDefaults } from './sensor.js'
import { shift } from './shifts.js'
import { reads } from './thermal-loop.js'
import { topicMapping } from './topics.js'

/** the largest share of a tolerance that may be granted to heat */
const largestShare = 0.5
/** 1/K; beyond it lies no material a machine or its work is made of (plastics reach about 2e-4; from memory) */
const largestExpansion = 3e-4

const shopSection = section({
  name: value(text('Main shop')),
  'time zone': value(timeZone),
  'reference temperature': value(
    or(
      bounded(
        temperature,
        each => each >= 0 && each <= 40,
        'write the temperature at which drawings hold: 20 °C (ISO 1)',
      ),
      20,
    ),
  ),
  units: value(or(choice('metric', 'inch', 'tenths'), undefined)),
  clock: value(or(choice('24 h', '12 h'), undefined)),
  invented: value(or(flag, false)),
  'decision rule': value(or(decisionRule, undefined)),
  'low battery': value(or(lowPercent, undefined)),
  shifts: unlessEmpty(list(shift, 'write a list of shifts: [{ days: mon-fri, from: 06:00, to: 18:00 }]')),
})

const source = (id: string) =>
  section({
    name: value(or(text('Dock door'), spoken(id))),
    kind: value(choice('door', 'vent', 'heat source')),
  }).transform((own): Source => ({ id, ...own }))

/** A width, or an ISO 286 grade and the nominal size it is for: `22 µm`, `IT6 at 80 mm`. */
const toleranceWidth: Reader<number> = raw => {
  const grade = typeof raw === 'string' ? /^IT ?(\d+)(?: +at +(\S.*))?$/i.exec(raw.trim()) : null
  if (!grade) return length(raw)
  const size = length(grade[2] ?? '')
  const remedy = 'write a grade from IT5 to IT10 and a size up to 500 mm, for example IT6 at 80 mm'
  if ('problem' in size) return { problem: `the size for IT${grade[1]}: ${size.problem}`, remedy }
  try {
    return { value: standardTolerance(Number(grade[1]), size.value) }
  } catch (error) {
    return { problem: (error as RangeError).message, remedy }
  }
}

const workClass = (id: string, outline: Outline) =>
  picked<WorkClass>(raw => {
    const feature = length(keysIn(raw).feature)
    const tolerance = bounded(
      positive(toleranceWidth, '22 µm, 0.0009 in or IT6 at 80 mm'),
      each => !('value' in feature) || feature.value <= 0 || each < feature.value,
      'write the full width of the tolerance zone; it is smaller than the feature',
    )
    return section({
      name: value(or(text('Close bores'), spoken(id))),
      formerly,
      tolerance: value(tolerance),
      feature: value(positive(length, '120 mm')),
      material: value(materialIn(outline)),
      duration: value(positive(duration, '45 min')),
      share: value(
        bounded(
          percent,
          each => each > 0 && each <= largestShare,
          'write a share above 0 and up to 50 %, for example 30 %',
        ),
      ),
      'zeroed at': value(or(choice('job start', 'datum'), 'job start')),
      'own heat': value(or(choice('as learned', 'when it shows', 'light', 'ordinary', 'heavy'), 'as learned')),
      'spindle speed': value(or(positive(speed, '8000 1/min'), undefined)),
      reads,
    }).transform(({ feature, ownHeat, reads, ...own }) => ({
      id,
      ...own,
      featureLength: feature,
      ...(ownHeat !== 'as learned' && { ownHeat }),
      ...reads,
    }))
  })

const ownMaterial = (raw: unknown) => {
  const both = keysIn(raw).uncertainty !== undefined
  const expansion: Reader<boolean> = written => {
    const parsed = bounded(
      uncertainExpansion,
      each => Math.abs(each.value) <= largestExpansion,
      'no solid expands that much; did you forget µ or e-6? For example 11.5 µm/m/K or 11.5e-6 /K',
    )(written)
    if ('problem' in parsed) return parsed
    const within = parsed.value.relativeUncertainty !== undefined
    if (within === both)
      return {
        problem: both ? 'the uncertainty is given twice, behind ± and by its own key' : 'no uncertainty is given',
        remedy: 'write the standard uncertainty once: expansion: 11.5 µm/m/K ± 5 %, or uncertainty: 5 %',
      }
    return { value: true }
  }
  return section({
    expansion: value(expansion),
    uncertainty: value(
      or(
        bounded(percent, each => each >= 0, 'write a percentage, for example 5 %'),
        undefined,
      ),
    ),
    source: value(or(text("builder's certificate"), undefined)),
  })
}

const none = <T>(schema: z.ZodType<T[]>) => picked<T[]>(raw => (raw === undefined ? looked(() => []) : schema))

const sections = (outline: Outline) =>
  section({
    shop: shopSection,
    sources: none(named('a source', plainName, plainSpelling, source)),
    'work classes': atLeastOne(
      named('a work class', plainName, plainSpelling, id => workClass(id, outline)),
      'work class',
    ),
    materials: none(named('a material', /\S/, 'write its name', () => picked(ownMaterial))),
    machines: atLeastOne(
      named('a machine', plainName, plainSpelling, id => machine(id, outline)),
      'machine',
    ),
    areas: unlessEmpty(none(named('an area', plainName, plainSpelling, id => area(id, outline)))),
    'sensor defaults': sensorDefaults.optional(),
    topics: unlessEmpty(list(topicMapping(outline), 'write a list: each entry with - in front')),
    sparkplug: section({ 'request rebirth': value(or(flag, false)) }).optional(),
    sensors: named('a sensor', plainName, plainSpelling, id => sensor(id, outline)),
    // keys that only the file has end here
  }).transform(({ shop, ...described }) => shopSchema.parse({ ...shop, ...described } satisfies Shop))

/**
 * The shop file, and the one place that says what may stand in it. Comes out as the shop that core computes with.
 */
export const shopFile = looked<Shop>((raw, say, take) => {
  const outline = outlineOf(raw)
  for (const { path, what, blame } of across(outline)) say(what, blame, path)
  return take(sections(outline), raw)
})
