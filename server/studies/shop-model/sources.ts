import type { Machine } from '../../../core/shop.js'
import {
  cycles,
  fewestOpenings,
  growthOf,
  type MachineCourse,
  meanResponse,
  type SourcesAnswer,
  shares,
} from '../../../core/shop-model/index.js'
import { drawing } from '../../../core/statistics/drawing.js'
import type { Past, Span } from '../../history/index.js'
import { type Prepared, prepare } from './prepare.js'

/**
 * Where a machine's movement came from over a span: shares by cause, mean response to door openings, cycling.
 *
 * @param axis id; null: the one that moved most
 * @param now ms
 */
export const machineSources = async (
  past: Past,
  machine: Machine,
  span: Span,
  axis: string | null,
  now: number,
): Promise<SourcesAnswer> => {
  const empty = {
    ...{ machine: machine.id, axis, ...span, cannotBeTold: null, restsOn: null, movement: null, causes: [] },
    ...{ inseparable: [], shareSum: null, openings: [], openingsCannotBeTold: [], cycles: [] },
    cyclesCannotBeTold: null,
  } satisfies SourcesAnswer
  const chosen = await axisOf(past, machine, span, axis, now)
  if ('cannot' in chosen) return { ...empty, cannotBeTold: chosen.cannot, cyclesCannotBeTold: chosen.cannot }
  const { model, effects, onMachine, begin, restsOn, courses } = chosen.prepared
  const course = chosen.prepared.on(chosen.axis)
  const told = shares(model, effects, course, onMachine, begin, past.shop.sources)
  const found = cycles(course, courses.spacing, begin)
  return {
    ...empty,
    ...told,
    ...{ axis: chosen.axis, restsOn },
    ...openings(chosen.prepared, course),
    cycles: found ?? [],
    cyclesCannotBeTold: found ? null : 'Too little of the air is known in this span: half a day is needed.',
  }
}

const openings = (
  { effects, courses, begin }: Prepared,
  machine: MachineCourse,
): Pick<SourcesAnswer, 'openings' | 'openingsCannotBeTold'> => {
  const air = machine.nodes.find(({ kind }) => kind === 'air')!.temperature
  const followed = [
    { of: 'air' as const, values: air },
    ...(machine.growth ? [{ of: 'growth' as const, values: growthOf(machine, null) }] : []),
  ]
  const found: Pick<SourcesAnswer, 'openings' | 'openingsCannotBeTold'> = { openings: [], openingsCannotBeTold: [] }
  for (const source of courses.sources) {
    if (source.kind !== 'door') continue
    const drive = effects.drives.find(each => each.source.id === source.id)
    // of the span, or of all that was read where it has too few
    const response =
      drive &&
      (meanResponse(courses, drive, followed, begin, drawing(777)) ??
        meanResponse(courses, drive, followed, 0, drawing(777)))
    if (response) found.openings.push(response)
    else
      found.openingsCannotBeTold.push({
        source: source.id,
        why: drive
          ? `It was opened fewer than ${fewestOpenings} times.`
          : 'No sensor tells when it is open: a contact, or a temperature beside it, would.',
      })
  }
  return found
}

/** What is asked of an axis; of the one that moved most where none is named. */
const axisOf = async (
  past: Past,
  machine: Machine,
  span: Span,
  axis: string | null,
  now: number,
): Promise<{ axis: string | null; prepared: Prepared } | { cannot: string }> => {
  const prepared = await prepare(past, machine, span, now)
  if ('cannot' in prepared) return prepared
  const { begin } = prepared
  let best: { axis: string | null; moved: number } = { axis, moved: -1 }
  if (axis === null)
    for (const { id } of machine.axes) {
      const course = growthOf(prepared.on(id), null).subarray(begin)
      const known = [...course].filter(Number.isFinite)
      const middle = known.reduce((a, b) => a + b, 0) / known.length
      const moved = known.reduce((sum, value) => sum + (value - middle) ** 2, 0)
      if (moved > best.moved) best = { axis: id, moved }
    }
  return { axis: best.axis, prepared }
}
