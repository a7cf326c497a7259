import { z } from 'zod'
import { celsius, kelvin, seconds, time } from './quantities.js'

// What the service says of a machine and of a sensor, as data: SI units, times in ms since 1970 (UTC). Whoever shows it
// makes the sentence, in the reader's units (core/sentences).

export { time }

export const verdict = z.enum(['fit', 'settling', 'unfit', 'unknown'])
/**
 * Whether a machine can be trusted with a kind of work: now, at a time that can be named, as things stand not, or not
 * known.
 */
export type Verdict = z.infer<typeof verdict>

export const trust = z.enum(['ok', 'late', 'lost', 'suspect'])
/** Whether a sensor is believed. */
export type Trust = z.infer<typeof trust>

/** What a sensor measures, as far as it decides what can be true of it. */
const placeKind = z.enum(['body', 'air', 'coolant', 'source', 'outdoors'])
export type PlaceKind = z.infer<typeof placeKind>

export const fault = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('never reported') }),
  z.object({
    kind: z.literal('silent'),
    interval: seconds.describe('s; in which it should report'),
    seldom: seconds.optional().describe('s; in which it reports lately instead; left out where it does not'),
  }),
  z.object({ kind: z.literal('gone'), why: z.string().describe('by word of its network') }),
  z.object({ kind: z.literal('fault code'), code: z.enum(['disconnected', 'restarted']) }),
  z.object({
    kind: z.literal('out of range'),
    value: celsius,
    place: placeKind,
    lowest: celsius,
    highest: celsius,
  }),
  z.object({ kind: z.literal('spikes'), count: z.number(), within: seconds }),
  z.object({
    kind: z.literal('noisy'),
    by: kelvin.describe('K; off the line between the readings beside it, usually'),
  }),
  z.object({ kind: z.literal('stepped to the air'), moved: kelvin, within: seconds }),
  z.object({ kind: z.literal('follows the air') }),
  z.object({ kind: z.literal('frozen'), for: seconds, moved: kelvin.describe('K; what its neighbours moved by') }),
  // no longer found: stands in what is on record
  z.object({ kind: z.literal('at odds'), wandered: kelvin, within: seconds }),
  z.object({
    kind: z.literal('strayed'),
    off: kelvin.describe('K; signed, from where it usually stands beside the rest of its machine'),
    isSlow: z.boolean().describe('it showed over days, not within hours'),
  }),
  z.object({ kind: z.literal('clock'), behind: seconds.describe('s; below zero: it is ahead') }),
  z.object({
    kind: z.literal('earning'),
    goodSince: time.nullable().describe('ms since 1970 UTC; null while its readings are not good'),
    until: time.nullable().describe('ms since 1970 UTC; believed again then if they stay so'),
  }),
  z.object({
    kind: z.literal('told').describe('a sentence of before reasons were kept as data, in metric units'),
    reason: z.string(),
    remedy: z.string(),
  }),
])
/** Why a sensor is not believed. */
export type SensorFault = z.infer<typeof fault>

const named = { node: z.string(), name: z.string().describe('of the node, as a machinist calls it') }
const relative = z.number().describe('relative, standard')
const element = z.enum(['screw', 'scale'])

const spindleIsLive = z.boolean().describe('its speed arrives, and its growth now is computed from it')
const spindleTestedAt = time
  .nullable()
  .describe('ms since 1970 UTC; of the growth test; null: the shop file states its growth')

export const cause = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('part'),
    ...named,
    place: z.enum(['body', 'air', 'coolant']),
    soaking: z.boolean().describe('a part that was left there would still be on its way to that temperature'),
    uncertainty: kelvin.optional().describe('K, standard; not on older records'),
    soakToHalve: seconds
      .nullable()
      .optional()
      .describe('s; lying there for so long halves it; null: what is left is not knowing its temperature once soaked'),
    coolant: z.string().optional().describe('name of a coolant of the machine whose temperature is measured'),
  }),
  z.object({
    kind: z.literal('steady temperature'),
    ...named,
    going: kelvin.describe('K; what it has still to go, as far as is known'),
  }),
  z.object({ kind: z.literal('air changes'), ...named, change: kelvin.describe('K; within a job, as it usually is') }),
  z.object({
    kind: z.literal('job heat'),
    ...named,
    rise: kelvin.describe('K; what a usual job adds to where it settles'),
    uncertainty: kelvin.describe('K, standard'),
  }),
  z.object({ kind: z.literal('placement'), ...named, uncertainty: kelvin.describe('K, standard') }),
  z.object({ kind: z.literal('calibration'), ...named, uncertainty: kelvin.describe('K, standard') }),
  z.object({ kind: z.literal('batch'), batch: z.string(), uncertainty: kelvin.describe('K, standard') }),
  z.object({ kind: z.literal('time constant'), ...named, relative }),
  z.object({ kind: z.literal('expansion of the machine'), element: z.string(), relative }),
  z.object({ kind: z.literal('expansion of the part'), material: z.string(), relative }),
  // no longer found: stands in what is on record
  z.object({ kind: z.literal('expansion in the drift'), relative }),
  z.object({ kind: z.literal('bearing') }),
  z.object({ kind: z.literal('spindle'), isLive: spindleIsLive, testedAt: spindleTestedAt }),
])
/** What an error is most uncertain by. */
export type UncertaintyCause = z.infer<typeof cause>

const disturbance = z.object({
  source: z.string(),
  name: z.string(),
  from: time.describe('ms since 1970 UTC; when it was opened'),
  to: time.nullable().describe('ms since 1970 UTC; when it was shut; null while it is open'),
})
/** A door or vent that explains an error. */
export type DisturbedBy = z.infer<typeof disturbance>

/** a share in the error of an axis */
const share = {
  axis: z.string(),
  amount: z.number().describe('m; signed share in the error, for sorting'),
  tolerance: z.number().describe('m; full width of the tolerance of the work class'),
  disturbance: disturbance.optional().describe('what explains it'),
}
const length = z.number().describe('m; of the feature')
const sinceDatum = z.boolean().describe('compared with the datum; otherwise with the reference temperature')
const moving = {
  ...share,
  ...named,
  change: kelvin.describe('K; of the node: within the job, or since the datum'),
  duration: seconds.describe('s; of the job'),
  sinceDatum,
  now: z.boolean().describe('it is so already when the job starts'),
  onDiameter: z.boolean().describe('the axis works on a radius: `amount` is that on the diameter'),
}

const missingWhy = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('sensor'), sensor: z.string().describe('its name'), fault }),
  z.object({ kind: z.literal('silent'), sensor: z.string().describe('its name'), since: time }),
  z.object({ kind: z.literal('no temperature'), sensor: z.string().describe('its name') }),
  z.object({ kind: z.literal('no sensor') }),
  z.object({ kind: z.literal('surroundings') }),
  z.object({ kind: z.literal('watched'), since: time.nullable() }),
])

export const missing = z.object({ kind: z.literal('missing'), ...named, why: missingWhy })
/** A needed node of which nothing is known, and why. */
export type MissingNode = z.infer<typeof missing>

export const reason = z
  .discriminatedUnion('kind', [
    z.object({
      kind: z.literal('growth'),
      ...share,
      element,
      apart: kelvin.describe('K; of which the screw or scale is warmer than the part'),
      length,
      sinceDatum,
      inAnHour: z.number().describe('m; the same share in an hour, if conditions hold'),
    }),
    z.object({
      kind: z.literal('workpiece'),
      ...share,
      material: z.string(),
      temperature: celsius.describe('°C; taken for that of the part'),
      rise: kelvin.describe('K; above the reference temperature, or the datum'),
      reference: celsius,
      length,
      sinceDatum,
    }),
    z.object({ kind: z.literal('drift'), ...moving }),
    z.object({ kind: z.literal('bending'), ...moving }),
    z.object({
      kind: z.literal('spindle'),
      ...share,
      speed: z.number().describe('1/s; what the job is taken to run it at'),
      duration: seconds.describe('s; of the job'),
      sinceDatum,
      onDiameter: z.boolean().describe('the axis works on a radius: `amount` is that on the diameter'),
      isLive: spindleIsLive,
      isBeyond: z.boolean().describe('the speed lies beyond what was tested or stated'),
      testedAt: spindleTestedAt,
    }),
    z.object({ kind: z.literal('uncertainty'), ...share, cause }),
    z.object({
      kind: z.literal('pretension'),
      axis: z.string(),
      excess: kelvin.describe('K; beyond what the pretension holds'),
    }),
    missing,
    z.object({
      kind: z.literal('zero'),
      lacking: z.array(z.string()).nullable().describe('names of the nodes the datum lacks; null: none is recorded'),
    }),
    z.object({
      kind: z.literal('stand-in'),
      ...named,
      from: z.string().describe('name of the node it is taken from'),
      uncertainty: kelvin.describe('K, standard'),
    }),
    z.object({
      kind: z.literal('waiting'),
      since: time.describe('ms since 1970 UTC; low enough since then'),
      until: time.describe('ms since 1970 UTC; fit from then on if it stays so'),
    }),
    z.object({
      kind: z.literal('restless').describe('the index is within the share, but would soon be beyond it again'),
      room: z.number().describe('percent of the tolerance; what must be left of the share'),
      left: z.number().describe('percent of the tolerance; what is left of it'),
    }),
    z.object({
      kind: z
        .literal('no time')
        .describe(
          'it settles, but what may come until it is fit leaves no time that would come true nine times of ten',
        ),
    }),
    z.object({
      kind: z.literal('poor record').describe('why no time is named'),
      kept: z.number(),
      of: z.number().describe('times found last, of which `kept` came true as they were found'),
      isFirstDay: z.boolean().optional().describe('waits have been followed for less than a day'),
    }),
    z.object({
      kind: z.literal('calibration'),
      overdue: z.array(z.object({ sensor: z.string(), name: z.string(), days: z.number() })).describe('longest first'),
      count: z.number().describe('of all that are overdue'),
      factor: z.number().describe('how many times the uncertainty of the worst counts'),
    }),
    z.object({
      kind: z.literal('told').describe('a sentence of before reasons were kept as data, in metric units'),
      text: z.string(),
    }),
  ])
  .meta({ id: 'Reason' })
/** Why a verdict is what it is. */
export type Reason = z.infer<typeof reason>
