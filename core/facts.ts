import { z } from 'zod'
import { kelvin, metres, numberOrNull, signature, time } from './quantities.js'
import { fault, reason, trust, verdict } from './reason.js'

// What somebody did or was shown: stored as facts, never rewritten. SI units; times in ms since 1970 (UTC).

export const datum = z
  .object({
    id: z.number(),
    machine: z.string(),
    at: time,
    ...signature,
    temperatures: z.record(z.string(), z.number()).describe('°C by node at that moment'),
    part: z.number().optional().describe('°C of the part then; that of the node it is taken from where not given'),
    spindle: metres.optional().describe('m; growth of the spindle then, where its speed was known'),
    firstPart: z
      .boolean()
      .optional()
      .describe(
        'a first part was measured and the size corrected; false: zero was taken at one place. Old ones do not say',
      ),
  })
  .meta({ id: 'Datum' })
/** The thermal state in which a machine was zeroed, as somebody recorded it. */
export type Datum = z.infer<typeof datum>

export const verdictChange = z
  .object({
    machine: z.string(),
    workClass: z.string(),
    at: time,
    verdict,
    thermalErrorIndex: z.number().nullable(),
    reason: reason.nullable().describe('the main one'),
  })
  .meta({ id: 'VerdictChange' })
/** A verdict shown. */
export type VerdictChange = z.infer<typeof verdictChange>

export const fitByOutcome = z.object({
  machine: z.string(),
  workClass: z.string(),
  at: time.describe('ms since 1970 UTC; when it was decided'),
  named: time.describe('ms since 1970 UTC; when the time was found'),
  found: time.describe('ms since 1970 UTC; by the forecast alone'),
  fitBy: time
    .nullable()
    .describe('ms since 1970 UTC; so much later that nine of ten come true; null: that is too late to be of use'),
  shown: z.boolean().describe('false: only found, for the record was too poor to name it'),
  came: time
    .nullable()
    .describe('ms since 1970 UTC; when fit was shown; null: not within eight hours of the time found'),
})
/** A time that was found for "fit by", and what came. */
export type FitByOutcome = z.infer<typeof fitByOutcome>

const faultBasis = z.discriminatedUnion('kind', [
  z.object({ kind: z.enum(['reading', 'clock']) }).describe('its own last readings, or its clock'),
  z
    .object({ kind: z.literal('earning'), goodSince: time.nullable() })
    .describe(
      'nothing any more, but it must show first that it is well again; since when its readings are good, null while not',
    ),
  z.object({ kind: z.literal('spikes'), at: z.array(time) }),
  z.object({ kind: z.literal('frozen'), value: z.number().describe('°C as measured, the value it repeats') }),
  z.object({
    kind: z.literal('fell off'),
    at: time.describe('ms since 1970 UTC; of the newest evidence'),
    before: kelvin.describe('K it stood off the air before, 0 when it gave itself away by following it'),
  }),
  z.object({
    kind: z.literal('at odds'),
    before: kelvin.describe('K; how far it usually stands above what its body follows'),
    drift: kelvin.describe('K; how far it strayed from that'),
    isSlow: z.boolean().optional().describe('it was found over days, not within hours'),
  }),
])
/** What a sensor fault rests on, as far as it must be known again after a restart. */
export type FaultBasis = z.infer<typeof faultBasis>

export const trustChange = z.object({
  sensor: z.string(),
  at: time.describe('ms since 1970 UTC; when it was found'),
  trust: trust.exclude(['late']),
  since: time.describe('ms since 1970 UTC; since when that trust stands'),
  fault: fault.nullable().describe('null only for `ok`'),
  basis: faultBasis.nullable().describe('only for `suspect`'),
})
/** A sensor found suspect, lost, or well again, or suspect for another reason than before. */
export type TrustChange = z.infer<typeof trustChange>

export const driftLog = z.object({
  id: z.number(),
  machine: z.string(),
  axis: z.string(),
  sign: z.union([z.literal(1), z.literal(-1)]).describe('1: a longer axis reads higher; -1: lower'),
  enteredAt: time.describe('ms since 1970 UTC; when it was entered'),
  ...signature,
  points: z.array(z.object({ at: time, value: metres.describe('m, as logged') })).describe('rising in time'),
})
/** An indicator's or probe's log of a machine at rest. */
export type DriftLog = z.infer<typeof driftLog>

export const measurement = z.object({
  id: z.number(),
  machine: z.string(),
  axis: z.string(),
  position: metres.describe('m; position along the travel at which it was measured'),
  zeroAt: time.describe('ms since 1970 UTC; when it was set to zero'),
  at: time.describe('ms since 1970 UTC; when it was read'),
  value: metres.describe('m; since the zero, positive = longer'),
  uncertainty: metres.describe('m; standard uncertainty of one reading'),
  enteredAt: time,
  ...signature,
  setAside: z
    .object({ at: time, ...signature })
    .nullable()
    .describe('why it no longer counts, and who said so; null while it counts'),
})
/** Growth somebody measured with a probe or an indicator. */
export type Measurement = z.infer<typeof measurement>

export const factorChange = z.object({
  id: z.number(),
  machine: z.string(),
  at: time,
  ...signature,
  factors: z.record(z.string(), z.number()).nullable().describe('by element; null: the nominal model holds again'),
  shown: z
    .object({ nominal: metres, corrected: metres, occasions: z.number(), measurements: z.number() })
    .nullable()
    .describe('root mean square error on measurements held out, as it was shown when accepted'),
})
/** Scale factors of a loop's elements somebody accepted, or the return to the nominal model. */
export type FactorChange = z.infer<typeof factorChange>

/** Where sensors were at one temperature together. */
export const togetherWhere = z.enum(['box', 'bath', 'side by side', 'as mounted'])
export type TogetherWhere = z.infer<typeof togetherWhere>

export const offsetChange = z
  .object({
    id: z.number(),
    sensor: z.string(),
    at: time.describe('ms since 1970 UTC; in force from then on'),
    ...signature,
    oldOffset: kelvin.describe('K; added to every reading until then'),
    newOffset: kelvin.describe('K; added to every reading from then on'),
    found: z
      .object({
        from: time,
        to: time,
        difference: kelvin.describe('K; the sensor against the median of all'),
        standardUncertainty: kelvin,
        sensors: z.number().describe('how many were compared'),
        where: togetherWhere.optional().describe('they were together; earlier checks did not ask'),
      })
      .nullable()
      .describe('the check it came from; null when it takes another back'),
    takesBack: numberOrNull('id of the change that no longer counts'),
  })
  .meta({ id: 'OffsetChange' })
/** An offset of a sensor that somebody accepted, or took back. */
export type OffsetChange = z.infer<typeof offsetChange>

export const begunImport = z.object({
  at: time.describe('ms since 1970 UTC; when it began'),
  ...signature,
  file: z.string().describe('name of the file'),
})

export const endedImport = z.object({
  at: time,
  added: z.number(),
  alreadyThere: z.number(),
  rowsRefused: z.number(),
  valuesRefused: z.number(),
  problem: z.string().describe('why it stopped before its end; empty when it did not'),
})

/** What a recording does not say itself, as somebody chose it in the preview. */
export const recordingChoices = z.object({
  order: z.enum(['day first', 'month first']).nullable().default(null).describe('of dates such as 3/4/2026'),
  offset: z
    .string()
    .regex(/^[+-]\d\d:\d\d$/, 'write a fixed offset such as +01:00')
    .nullable()
    .default(null)
    .describe('fixed offset of times without a zone, such as +01:00; null: they are the shop’s'),
  columns: z
    .record(z.string().max(1000), z.string().max(1000))
    .default({})
    .describe('by heading, or by the name that rows give: time, date, nothing, or "sensor " and a sensor’s id'),
  units: z
    .record(z.string().max(1000), z.enum(['°C', '°F', 'K', 'state', '1/min', '1/s']))
    .default({})
    .describe('by heading or name'),
  keepCodes: z.boolean().default(false).describe('true: what looks like an error code is a reading'),
})
export type RecordingChoices = z.infer<typeof recordingChoices>

/** How recordings with the same headings are to be read from then on. */
export const recordingKind = z.object({
  at: time,
  ...signature,
  headings: z.string().describe('SHA-256 of the headings'),
  choices: recordingChoices,
})

/** An import whose readings were taken out again. */
export const importTakenBack = z.object({
  at: time,
  ...signature,
  file: z.string(),
  import: z.number().describe('id of the import'),
  end: z.number().describe('id of its end, or of the import where it has none: that closes it'),
})
