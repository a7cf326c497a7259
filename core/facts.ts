import { z } from 'zod'
import { type Doubt, reason, type Trust, time, verdict } from './reason.js'

// What somebody did or was shown: stored as facts, never rewritten. SI units; times in ms since 1970 (UTC).

const metres = z.number().describe('m')
const kelvin = z.number().describe('K')
const signature = { by: z.string(), note: z.string() }

export const datum = z
  .object({
    id: z.number(),
    machine: z.string(),
    at: time,
    ...signature,
    temperatures: z.record(z.string(), z.number()).describe('°C by node at that moment'),
    part: z.number().optional().describe('°C of the part then; that of the node it is taken from where not given'),
    firstPart: z
      .boolean()
      .optional()
      .describe(
        'a first part was measured and the size corrected; false: zero was taken at one place. Old ones do not say',
      ),
  })
  .meta({ id: 'Datum' })
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

/** What the doubt about a sensor rests on, as far as it must be known again after a restart. */
export type DoubtBasis =
  /** its own last readings, or its clock */
  | { kind: 'reading' | 'clock' }
  /** nothing any more, but it must show first that it is well again; ms since when its readings are good, null while not */
  | { kind: 'earning'; goodSince: number | null }
  /** ms of each */
  | { kind: 'spikes'; at: number[] }
  /** °C as measured, the value it repeats */
  | { kind: 'frozen'; value: number }
  /** ms of the newest evidence; K it stood off the air before, 0 when it gave itself away by following it */
  | { kind: 'fell off'; at: number; before: number }
  /** K; its usual difference to those beside it, and what it wandered */
  | { kind: 'at odds'; before: number; drift: number }

/** A sensor found suspect, lost, or well again, or suspect for another reason than before. */
export interface TrustChange {
  sensor: string
  /** ms; when it was found */
  at: number
  trust: Exclude<Trust, 'late'>
  /** ms; since when that trust stands */
  since: number
  /** null only for `ok` */
  doubt: Doubt | null
  /** only for `suspect` */
  basis: DoubtBasis | null
}

/** An indicator's or probe's log of a machine at rest. */
export interface DriftLog {
  id: number
  machine: string
  axis: string
  /** 1: a longer axis reads higher; -1: lower */
  sign: 1 | -1
  /** ms; when it was entered */
  enteredAt: number
  by: string
  note: string
  /** rising in time; ms, and m as logged */
  points: { at: number; value: number }[]
}

export const measurement = z.object({
  id: z.number(),
  machine: z.string(),
  axis: z.string(),
  position: metres.describe('m; place of the travel where it was measured'),
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
      })
      .nullable()
      .describe('the check it came from; null when it takes another back'),
    takesBack: z.number().nullable().describe('id of the change that no longer counts'),
  })
  .meta({ id: 'OffsetChange' })
/** An offset of a sensor that somebody accepted, or took back. */
export type OffsetChange = z.infer<typeof offsetChange>
