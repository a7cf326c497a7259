import type { Axis, Machine } from '../../core/shop.js'
import type { FitByOutcome, Verdict } from '../../core/state.js'
import type { ColumnsRecord } from './columns.js'
import type { NamedTime } from './named-times.js'
import type { ForecastsRecord } from './node-forecasts.js'
import type { ReadySample } from './ready.js'
import type { SuspectsRecord } from './suspects.js'

export const axisTypes = ['screw, one end fixed', 'screw, pretensioned', 'screw, core-cooled', 'scale'] as const
export type AxisType = (typeof axisTypes)[number]

/** Predicted and true growth of one axis at the work, m against 20 °C; equal lengths of all three. */
export interface AxisRecord {
  machine: string
  axis: string
  type: AxisType
  predicted: number[]
  true: number[]
  /** whether it was within the shop's working hours */
  working: boolean[]
}

/** One machine and work class, over the samples at which verdicts were compared. */
export interface ClassRecord {
  machine: string
  workClass: string
  samples: number
  count: Record<Verdict, number>
  /** fit was shown while the true error exceeded the share, with the conditions of the last five minutes held */
  falselyFit: number
  /** the same with the conditions of that very instant held: a spindle's or chiller's first seconds count in full */
  falselyFitInstant: number
  /** settling or unfit was shown while the true error was within the share; and how many of these were settling */
  falselyUnfit: number
  falselySettling: number
  /** of falselyUnfit: even with the true error the stated expanded uncertainty would have reached beyond the share */
  guarded: number
  /** verdict changes shown */
  changes: number
  /** true error and tolerance share at every falsely fit sample, m */
  worst: { at: number; error: number; granted: number }[]
  ready: ReadySample[]
  /** settling samples (at `readyEvery`), and how many of them had no time to show */
  settling: number
  settlingWithoutTime: number
}

export interface MachineRecord {
  machine: string
  /** stands in air that a thermostat keeps */
  thermostat: boolean
  /** verdict changes shown, all work classes together, on each whole or begun day that counts */
  changesByDay: number[]
  /** how often the true error went over the share or came back within it, seen at each sample, all work classes together */
  trueChanges: number
}

export interface ExamRecord {
  /** its number, 0 for the demo shop */
  shop: number
  healthy: boolean
  axes: AxisRecord[]
  classes: ClassRecord[]
  machines: MachineRecord[]
  messages: number
  refused: number
  days: number
  /** the days that count */
  counted: number
  columns: ColumnsRecord
  forecasts: ForecastsRecord
  named: NamedTime[]
  /** the times that the service itself found, and what it noted of them */
  fitBys: FitByOutcome[]
  suspects: SuspectsRecord
}

export const axisType = (machine: Machine, { measuring }: Axis): AxisType => {
  if (measuring.kind === 'scale') return 'scale'
  if (measuring.mounting.kind === 'both ends fixed') return 'screw, pretensioned'
  const cooled = machine.nodes.some(({ id, kind }) => kind === 'coolant' && id in measuring.nodes)
  return cooled ? 'screw, core-cooled' : 'screw, one end fixed'
}

export const emptyClass = (machine: string, workClass: string): ClassRecord => ({
  machine,
  workClass,
  samples: 0,
  count: { fit: 0, settling: 0, unfit: 0, unknown: 0 },
  falselyFit: 0,
  falselyFitInstant: 0,
  falselyUnfit: 0,
  falselySettling: 0,
  guarded: 0,
  changes: 0,
  worst: [],
  ready: [],
  settling: 0,
  settlingWithoutTime: 0,
})
