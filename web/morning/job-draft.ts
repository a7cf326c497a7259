import { growthScale, lengthScale, massScale, temperatureScale, type UnitSystem, type Zone } from '../../core/format.js'
import { standardTolerance } from '../../core/judge/iso286.js'
import type { JobFeature, PlannedJob } from '../../core/morning/index.js'
import { parseLength } from '../../core/units.js'
import { fieldMoment } from '../frame/field-moment.js'
import type { FeatureCells, JobCells } from './job-cells.js'

/** What stands in the form: text as somebody types it. */
export interface FeatureDraft {
  feature: string
  size: string
  tolerance: string
  axis: string
  isDiameter: boolean
}
export interface JobDraft {
  part: string
  /** as it is typed, in the shop's zone and by its clock */
  start: string
  duration: string
  /** id; empty: any that makes the part */
  machine: string
  /** ids of further machines */
  others: string[]
  material: string
  features: FeatureDraft[]
  share: string
  zeroed: 'job start' | 'datum'
  from: 'shop' | 'outdoors' | 'store'
  temperature: string
  brought: string
  sizeKind: '' | 'mass' | 'thickness' | 'diameter'
  partSize: string
  /** the fastest that the spindle turns, 1/min; empty: not said */
  speed: string
  /** name of a tool list; empty: none */
  tools: string
}

export const emptyFeature: FeatureDraft = { feature: '', size: '', tolerance: '', axis: '', isDiameter: false }

const hour = 3_600_000

/** A form nobody has written in. @param now ms */
export const emptyDraft = (now: number, zone: Zone): JobDraft => ({
  part: '',
  start: fieldMoment(Math.ceil(now / (hour / 4)) * (hour / 4), zone),
  duration: '1 h',
  machine: '',
  others: [],
  material: 'steel',
  features: [emptyFeature],
  share: '30 %',
  zeroed: 'job start',
  from: 'shop',
  temperature: '',
  brought: '',
  sizeKind: '',
  partSize: '',
  speed: '',
  tools: '',
})

const written = (si: number, { of, unit }: { of: (si: number) => number; unit: string }): string =>
  `${Number(of(si).toPrecision(8))} ${unit}`

const featureDraft = (feature: JobFeature, system: UnitSystem): FeatureDraft => ({
  feature: feature.name,
  size: written(feature.length, lengthScale[system]),
  tolerance: feature.grade ?? written(feature.tolerance, system === 'metric' ? growthScale.metric : lengthScale.inch),
  axis: feature.axis ?? '',
  isDiameter: feature.diameter ?? false,
})

/** The form for a job that is planned; the name of its tool list is not in it, and comes from the machine's. */
export const draftOf = (job: PlannedJob, system: UnitSystem, zone: Zone): JobDraft => {
  const { from, size } = job
  const brought = from.kind === 'shop' ? from.since : from.broughtIn
  const [sizeKind, partSize]: [JobDraft['sizeKind'], string] = !size
    ? ['', '']
    : 'mass' in size
      ? ['mass', written(size.mass, massScale[system])]
      : 'thickness' in size
        ? ['thickness', written(size.thickness, lengthScale[system])]
        : ['diameter', written(size.diameter, lengthScale[system])]
  return {
    part: job.part,
    start: fieldMoment(job.start, zone),
    duration: `${Number((job.duration / 60).toPrecision(6))} min`,
    machine: job.machines[0] ?? '',
    others: job.machines.slice(1),
    material: job.material,
    features: job.features.map(feature => featureDraft(feature, system)),
    share: `${Number((100 * job.share).toPrecision(4))} %`,
    zeroed: job.zeroedAt,
    from: from.kind,
    temperature: from.kind === 'store' ? written(from.temperature, temperatureScale[system]) : '',
    brought: brought === undefined ? '' : fieldMoment(brought, zone),
    sizeKind,
    partSize,
    speed: job.speed === undefined ? '' : String(Number((job.speed * 60).toPrecision(6))),
    tools: '',
  }
}

const featureCells = ({ feature, size, tolerance, axis, isDiameter }: FeatureDraft): FeatureCells => ({
  ...(feature.trim() && { feature: feature.trim() }),
  size: size.trim(),
  ...(tolerance.trim() && { tolerance: tolerance.trim() }),
  ...(axis && { axis }),
  ...(isDiameter && { reads: 'diameter' }),
})

/** What the service is sent of it. */
export const cellsOf = (draft: JobDraft): JobCells => {
  const [first = emptyFeature, ...more] = draft.features
  return {
    part: draft.part.trim(),
    ...featureCells(first),
    material: draft.material,
    machine: draft.machine === '' ? 'any' : [draft.machine, ...draft.others].join(' or '),
    start: draft.start,
    duration: draft.duration.trim(),
    ...(draft.share.trim() && { share: draft.share.trim() }),
    zeroed: draft.zeroed,
    from: draft.from,
    ...(draft.from === 'store' && { temperature: draft.temperature.trim() }),
    ...(draft.brought && { brought: draft.brought }),
    ...(draft.sizeKind && { [draft.sizeKind]: draft.partSize.trim() }),
    ...(draft.speed.trim() && { speed: draft.speed.trim() }),
    ...(draft.tools && { tools: draft.tools }),
    ...(more.length > 0 && { features: more.map(featureCells) }),
  }
}

/**
 * The width that a grade gives a size, while both are typed.
 *
 * @returns m; null where there is no grade, or no size yet
 */
export const gradeWidth = ({ size, tolerance }: Pick<FeatureDraft, 'size' | 'tolerance'>): number | null => {
  const grade = /^(?:[A-Za-z]{1,2}|IT) ?(\d{1,2})$/.exec(tolerance.trim())
  const text = size
    .trim()
    .replace(/^[Øø⌀]/u, '')
    .trim()
  const length = parseLength(/^[\d.]+$/.test(text) ? `${text} mm` : text)
  if (!grade || !('value' in length)) return null
  try {
    return standardTolerance(Number(grade[1]), length.value)
  } catch {
    return null
  }
}
