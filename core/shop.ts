import { z } from 'zod'
import { limits, machine, material } from './machine.js'
import { formerly } from './quantities.js'
import { payload, sensor } from './sensor.js'

export * from './machine.js'
export * from './sensor.js'

// The shop as the computation sees it and the interface gives it: machines, their nodes and thermal loops, sensors,
// sources, work classes. The shop file's schema (server/shop) produces exactly this.
// SI throughout: m, s, °C for a temperature, K for a difference, 1/K for expansion, s for durations.

const minuteOfDay = z.number().describe('min after midnight, by the shop’s clock; 1440 is the end of the day')
const shift = z.object({
  days: z.array(z.number()).describe('on which it begins: 1 Monday … 7 Sunday'),
  from: minuteOfDay,
  to: minuteOfDay.describe('min after midnight; not later than `from`: on the next day'),
})
/** When people work. */
export type Shift = z.infer<typeof shift>

const area = z.object({
  id: z.string(),
  name: z.string(),
  sensors: z.array(z.string()).describe('ids'),
  limits: limits.optional(),
})
/** A part of the shop, by its sensors: a room, the shop air, what lies beside a door. */
export type Area = z.infer<typeof area>

const source = z.object({ id: z.string(), name: z.string(), kind: z.enum(['door', 'vent', 'heat source']) })
/** What disturbs the shop: a door, a vent, a heat source. */
export type Source = z.infer<typeof source>

const workClass = z.object({
  id: z.string(),
  name: z.string(),
  formerly,
  tolerance: z.number().describe('m; full width of the tolerance zone'),
  featureLength: z.number().describe('m; length of the feature along the axis'),
  material,
  duration: z.number().describe('s'),
  share: z.number().describe('0..0.5; part of the tolerance that heat may take'),
  zeroedAt: z
    .enum(['job start', 'datum'])
    .describe("zero is set at each job's start, or at the machine's datum: without one recorded nothing can be said"),
  ownHeat: z
    .enum(['when it shows', 'light', 'ordinary', 'heavy'])
    .optional()
    .describe(
      'how much a job heats the machine, against its usual work; left out: as usual, once work of the machine has been seen',
    ),
  spindleSpeed: z.number().optional().describe('1/s; what its jobs run the spindle at, at most'),
  readsDiameter: z
    .boolean()
    .optional()
    .describe('its size is a diameter that every axis makes by a radius: a boring or facing head, a turned part'),
})
/** A kind of work: what is asked of it, and how long it takes. */
export type WorkClass = z.infer<typeof workClass>

const topicMapping = z.object({
  pattern: z.string().describe('a topic with named parts, at most one a level: plant/{sensor}/temperature'),
  sensor: z.string().describe("how its name is made of the pattern's parts and of {name}, the name in the message"),
  payload,
})
/** One entry of the shop file for the topics of many sensors. */
export type TopicMapping = z.infer<typeof topicMapping>

const decisionRule = z.object({
  coverage: z
    .number()
    .describe('standard uncertainties that must fit between the error and the share for `fit` to stand'),
  probability: z.number().optional().describe('0..1; one-sided, as the file gives it; left out: it gives the coverage'),
})
/** How far inside the share an error must lie to be accepted. */
export type DecisionRule = z.infer<typeof decisionRule>

export const shopSchema = z
  .object({
    name: z.string(),
    timeZone: z.string().describe('IANA name, e.g. "Europe/Vienna"; all times on the pages are given in it'),
    referenceTemperature: z.number().describe('°C, 20 by ISO 1'),
    units: z
      .enum(['metric', 'inch', 'tenths'])
      .optional()
      .describe(
        'of sentences and tables, and of pages until somebody chooses others; tenths: inches, with small lengths in ten-thousandths; metric if not given',
      ),
    clock: z.enum(['24 h', '12 h']).optional().describe('by which times are written; 24 h if not given'),
    decisionRule: decisionRule.optional().describe('one-sided 95 % if not given'),
    shifts: z.array(shift).optional().describe('Monday to Friday from 06:00 to 18:00 if not given'),
    invented: z.boolean().describe('true when the shop and its readings are made up; said on every page'),
    replay: z
      .number()
      .optional()
      .describe('a recording is lived again, so many times as fast as it happened; said on every page'),
    machines: z.array(machine),
    sensors: z.array(sensor),
    lowBattery: z.number().optional().describe('%; at or below it a battery is low; 20 if not given'),
    sources: z.array(source),
    workClasses: z.array(workClass),
    areas: z.array(area).optional().describe('none if not given'),
    topics: z.array(topicMapping).optional().describe('tried in this order; none if not given'),
    sparkplug: z
      .object({
        requestRebirth: z
          .boolean()
          .describe(
            'nodes whose birth is not known may be asked for it, the one command that the service ever publishes',
          ),
      })
      .optional()
      .describe('not given: commands are never published'),
  })
  .meta({ id: 'Shop' })
/** All that the service knows of a shop from its file. */
export type Shop = z.infer<typeof shopSchema>
