import { growthScale, lengthScale, type UnitSystem } from '../../core/format.js'
import type { SpindleSaid } from '../../core/shop.js'
import type { ToolList } from '../../core/spindle/index.js'

/** What stands in the form, as text: a number in the unit of its label, or with a unit of its own. */
export interface ToolDraft {
  tool: string
  length: string
  speed: string
  cutting: string
  tolerance: string
  share: string
  after: string
}
export interface ListDraft {
  name: string
  tools: ToolDraft[]
  change: string
  start: 'cold' | 'ran' | 'grown'
  ran: { speed: string; duration: string; rest: string }
  grown: string
  isWarmedUp: boolean
  warmUp: { highest: string; step: string; hold: string }
  tilt: string
  workHeight: string
}

/** The units in the form's labels. */
export const draftUnits = (system: UnitSystem) => ({
  length: lengthScale[system].unit,
  speed: '1/min',
  time: 'min',
  tolerance: growthScale[system].unit,
  tilt: system === 'metric' ? 'µm/m' : 'in/ft',
})

export const emptyTool: ToolDraft = {
  tool: '',
  length: '',
  speed: '',
  cutting: '',
  tolerance: '',
  share: '30',
  after: '',
}

/** A form nobody has written in. */
export const emptyList: ListDraft = {
  name: '',
  tools: [emptyTool, emptyTool],
  change: '20',
  start: 'cold',
  ran: { speed: '', duration: '30', rest: '0' },
  grown: '',
  isWarmedUp: false,
  warmUp: { highest: '', step: '', hold: '5' },
  tilt: '',
  workHeight: '',
}

const written = (amount: number): string => String(Number(amount.toPrecision(7)))

/** m/m of a tilt in the reader's unit: µm/m, or inches a foot */
const tiltOf = (slope: number, system: UnitSystem): number => (system === 'metric' ? slope * 1e6 : slope * 12)

/** With what the shop file says that the builder allows of a cold spindle, where nothing else was typed. */
export const withBuilderLimits = (draft: ListDraft, { highest, warmUp }: Pick<SpindleSaid, 'highest' | 'warmUp'>) =>
  draft.isWarmedUp
    ? draft
    : {
        ...draft,
        warmUp: {
          highest: highest === undefined ? '' : written(highest * 60),
          step: warmUp ? written(warmUp.step * 60) : '',
          hold: warmUp ? written(warmUp.hold / 60) : emptyList.warmUp.hold,
        },
      }

/** A growth as it is typed. @param growth m */
export const growthText = (growth: number, system: UnitSystem): string => written(growthScale[system].of(growth))

/** The form for a list that is on record. */
export const draftOf = (
  { name, job, start, warmUp, tilt, workHeight }: Omit<ToolList, 'id'>,
  system: UnitSystem,
): ListDraft => ({
  name,
  tools: job.tools.map(({ name: tool, length, speed, cutting, tolerance, share }, i) => ({
    tool,
    length: written(lengthScale[system].of(length)),
    speed: written(speed * 60),
    cutting: written(cutting / 60),
    tolerance: written(growthScale[system].of(tolerance)),
    share: written(100 * share),
    after: job.before.flatMap(([first, second]) => (second === i ? [job.tools[first]!.name] : [])).join(', '),
  })),
  change: written(job.change),
  start: start.kind,
  ran:
    start.kind === 'ran'
      ? {
          speed: written(start.speed * 60),
          duration: written(start.duration / 60),
          rest: written(start.rest / 60),
        }
      : emptyList.ran,
  grown: start.kind === 'grown' ? growthText(start.growth, system) : '',
  isWarmedUp: warmUp !== null,
  warmUp: warmUp
    ? { highest: written(warmUp.highest * 60), step: written(warmUp.step * 60), hold: written(warmUp.hold / 60) }
    : emptyList.warmUp,
  tilt: tilt === null ? '' : written(tiltOf(tilt, system)),
  workHeight: workHeight === null ? '' : written(lengthScale[system].of(workHeight)),
})

/** With the unit of its label where a number alone was typed. */
const withUnit = (text: string, unit: string): string =>
  /^[-+\u2212]?[\d.,]+$/.test(text.trim()) ? `${text.trim().replace(',', '.')} ${unit}` : text.trim()

/** What the service is sent of the tools. */
export const toolsOf = (tools: readonly ToolDraft[], system: UnitSystem): ToolDraft[] => {
  const unit = draftUnits(system)
  return tools.map(({ tool, length, speed, cutting, tolerance, share, after }) => ({
    tool: tool.trim(),
    length: withUnit(length, unit.length),
    speed: withUnit(speed, unit.speed),
    cutting: withUnit(cutting, unit.time),
    tolerance: withUnit(tolerance, unit.tolerance),
    share: withUnit(share, '%'),
    after: after.trim(),
  }))
}

/** What it is sent of all else. */
export const restOf = (draft: ListDraft, system: UnitSystem) => {
  const unit = draftUnits(system)
  const { ran, warmUp } = draft
  return {
    name: draft.name.trim(),
    change: withUnit(draft.change, 's'),
    start:
      draft.start === 'cold'
        ? { kind: 'cold' }
        : draft.start === 'grown'
          ? { kind: 'grown', growth: withUnit(draft.grown, unit.tolerance) }
          : {
              kind: 'ran',
              speed: withUnit(ran.speed, unit.speed),
              duration: withUnit(ran.duration, unit.time),
              rest: withUnit(ran.rest, unit.time),
            },
    warmUp: draft.isWarmedUp
      ? {
          highest: withUnit(warmUp.highest, unit.speed),
          step: withUnit(warmUp.step, unit.speed),
          hold: withUnit(warmUp.hold, unit.time),
        }
      : null,
    ...(draft.tilt.trim() && { tilt: withUnit(draft.tilt, unit.tilt) }),
    ...(draft.workHeight.trim() && { workHeight: withUnit(draft.workHeight, unit.length) }),
  }
}
