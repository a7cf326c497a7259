/**
 * What the service knows at a moment and the pages show. Produced by the monitor, sent as JSON by the HTTP interface,
 * read by the pages. SI units; times in ms since 1970 (UTC).
 */

export type Verdict = 'fit' | 'settling' | 'unfit' | 'unknown'
export type Trust = 'ok' | 'late' | 'lost' | 'suspect'

export interface Reason {
  kind:
    | 'growth'
    | 'drift'
    | 'bending'
    | 'workpiece'
    | 'uncertainty'
    | 'pretension'
    | 'missing'
    | 'stand-in'
    | 'waiting'
    | 'calibration'
  /** metric; a complete part of a sentence, e.g. "X screw 3.1 K warmer than at the datum: X +18 µm over 500 mm" */
  text: string
  /** the same in inch and °F */
  textInch: string
  axis?: string
  node?: string
  source?: string
  /** m; signed share in the error, for sorting */
  amount: number
}

/** the thermal error of a job on one axis */
export interface AxisJob {
  axis: string
  /** m; signed size error of the feature (absolute, or since the datum) */
  sizeError: number
  /** m; signed largest drift within the job (or since the datum) */
  drift: number
  /** m; signed: what the mark on the wall shows, magnitude = |sizeError| + |drift| */
  error: number
  /** m; expanded uncertainty of error, k = 2 */
  uncertainty: number
  /** m; the same error for a job begun in an hour if conditions hold */
  errorInHour: number
  /** largest first; standard uncertainties in m */
  budget: { name: string; standardUncertainty: number }[]
  /** parts of error, largest first, m */
  parts: { name: string; node?: string; amount: number }[]
}

/** ms; if conditions hold */
export interface ReadyTime {
  /** from then on it cannot be ruled out that the thermal error is within the share */
  earliest: number
  /** from then on the error itself is likely within the share */
  likely: number
  /** from then on so is the error with its expanded uncertainty, and has been long enough: the verdict will be fit */
  latest: number
}

export interface ClassState {
  workClass: string
  verdict: Verdict
  /** ms; since when this verdict stands */
  since: number
  /** percent; null when unknown */
  thermalErrorIndex: number | null
  /** only for `settling` */
  ready: ReadyTime | null
  /** largest first; empty only for `fit`, where they say what is to be watched */
  reasons: Reason[]
  axes: AxisJob[]
}

export interface NodeState {
  node: string
  /** °C; null when nothing believable is known */
  temperature: number | null
  /** K/h */
  rate: number | null
  /** K above what it follows that the node is heading for */
  steadyExcess: number | null
  /** s; time constant in use, and its relative standard uncertainty */
  timeConstant: number | null
  timeConstantUncertainty: number | null
  /** ms */
  at: number | null
  trust: Trust
  /** true when the value comes from the stand-in */
  standIn: boolean
}

export interface AxisGrowth {
  axis: string
  /** m; growth against 20 °C at axis position 0, where the work is held, and at full travel */
  atZero: number | null
  atWork: number | null
  atTravel: number | null
  /** m; growth since the datum at the work, null without a datum */
  sinceDatum: number | null
  /** m/s */
  rate: number | null
}

export interface Datum {
  id: number
  machine: string
  /** ms */
  at: number
  by: string
  note: string
  /** °C by node at that moment */
  temperatures: Record<string, number>
}

export interface MachineState {
  machine: string
  /** ms; moment of this evaluation */
  at: number
  classes: ClassState[]
  nodes: NodeState[]
  growth: AxisGrowth[]
  datum: Datum | null
}

export interface SensorState {
  sensor: string
  /** °C, offset applied; 1/0 for a state sensor; null before the first reading */
  value: number | null
  /** ms; time of that value */
  at: number | null
  trust: Trust
  /** why not ok, in words; empty when ok */
  reason: string
  /** what to do about it, in words; empty when ok */
  remedy: string
  /** ms; since when the trust stands */
  since: number
  /** not given while its device has told nothing of it since the service started */
  battery?: Battery
  /** not given while its device has told nothing of it since the service started */
  signal?: Signal
}

/** what is left in a sensor's battery, by its own word */
export interface Battery {
  value: number
  unit: '%' | 'V'
  /** by the shop file's threshold */
  low: boolean
  /** ms */
  at: number
}

/** how well a sensor's radio is received, by its own word or its gateway's */
export interface Signal {
  value: number
  unit: 'dBm' | '%'
  /** ms */
  at: number
}

export interface SourceState {
  source: string
  /** open or running; null when no sensor tells */
  active: boolean | null
  /** ms */
  since: number | null
  /** °C beside it */
  temperature: number | null
}

export interface ShopState {
  at: number
  /** °C, mean of shop-air sensors that are believed */
  air: number | null
  /** K/h */
  airRate: number | null
  outdoors: number | null
  sources: SourceState[]
  /** ms; event time of the newest reading of any sensor */
  newestReading: number | null
  broker: 'connected' | 'away'
  /** why readings cannot be stored now, and what to do; null while they can. Meanwhile they wait at the broker */
  unstored: string | null
  /** 0..1 while the demo fills its history, null otherwise */
  filling: number | null
}

/** a quantity ahead: one value for each of the forecast's times */
export interface ForecastBand {
  mean: number[]
  standardUncertainty: number[]
}

/** where a machine will be, if conditions hold or under a plan */
export interface Forecast {
  machine: string
  /** ms; the moment it was made */
  at: number
  /** ms */
  times: number[]
  /** °C, K */
  nodes: (ForecastBand & { node: string })[]
  /** m; growth against 20 °C where the work is held */
  axes: (ForecastBand & { axis: string })[]
  /** when a job of each class could start; null when no time within 72 h can be named */
  classes: { workClass: string; ready: ReadyTime | null }[]
}

/** a verdict shown: stored as a fact */
export interface VerdictChange {
  machine: string
  workClass: string
  at: number
  verdict: Verdict
  thermalErrorIndex: number | null
  reason: string
}

/** what the doubt about a sensor rests on, as far as it must be known again after a restart */
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

/** a sensor found suspect, lost, or well again, or suspect for another reason than before: stored as a fact */
export interface TrustChange {
  sensor: string
  /** ms; when it was found */
  at: number
  trust: Exclude<Trust, 'late'>
  /** ms; since when that trust stands */
  since: number
  reason: string
  remedy: string
  /** only for `suspect` */
  basis: DoubtBasis | null
}

/** an indicator's or probe's log of a machine at rest: stored as a fact */
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

/** growth somebody measured with a probe or an indicator: stored as a fact */
export interface Measurement {
  id: number
  machine: string
  axis: string
  /** m; place of the travel where it was measured */
  position: number
  /** ms; when it was set to zero, and when it was read */
  zeroAt: number
  at: number
  /** m; since the zero, positive = longer */
  value: number
  /** m; standard uncertainty of one reading */
  uncertainty: number
  /** ms */
  enteredAt: number
  by: string
  note: string
  /** why it no longer counts, and who said so; null while it counts */
  setAside: { at: number; by: string; note: string } | null
}

/** scale factors of a loop's elements somebody accepted, or the return to the nominal model: stored as a fact */
export interface FactorChange {
  id: number
  machine: string
  /** ms */
  at: number
  by: string
  note: string
  /** by element; null: the nominal model holds again */
  factors: Record<string, number> | null
  /** m; root mean square error on measurements held out, as it was shown; null for the nominal model */
  shown: { nominal: number; corrected: number; occasions: number; measurements: number } | null
}

/** an offset of a sensor that somebody accepted, or took back: stored as a fact */
export interface OffsetChange {
  id: number
  sensor: string
  /** ms; from then on it is in force */
  at: number
  by: string
  note: string
  /** K; added to every reading until then, and from then on */
  oldOffset: number
  newOffset: number
  /** what it came from; null when it only takes another back */
  found: {
    /** ms */
    from: number
    to: number
    /** K; the sensor against the median of all, and the standard uncertainty of that */
    difference: number
    standardUncertainty: number
    /** how many sensors were compared */
    sensors: number
  } | null
  /** id of the change that no longer counts */
  takesBack: number | null
}
