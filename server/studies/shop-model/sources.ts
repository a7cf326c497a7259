import type { Machine, Shop } from '../../../core/shop.js'
import {
  cycles,
  drives,
  fewestOpenings,
  growthOf,
  type MachineOverSpan,
  meanResponse,
  type SourcesAnswer,
  shares,
} from '../../../core/shop-model/index.js'
import { drawing } from '../../../core/statistics/drawing.js'
import { standardDeviation } from '../../../core/statistics/spread.js'
import type { Past, Span } from '../../history/index.js'
import { beingLearned, type Measured, type Prepared, prepare } from './prepare.js'

/** ms; causes are taken away so long before a span, until the shop has forgotten them. Judgement: floors and walls take a day or two */
export const forgotten = 2 * 86_400_000

/**
 * Where a machine's movement came from over a span: shares by cause, mean response to door openings, cycling.
 *
 * @param axis id; null: the one that moved most
 */
export const machineSources = async (
  past: Past,
  machine: Machine,
  span: Span,
  axis: string | null,
): Promise<SourcesAnswer> => {
  const prepared = await prepare(past, machine, span, forgotten)
  return 'cannot' in prepared
    ? { ...emptyAnswer(machine, span, axis), cannotBeTold: prepared.cannot, cyclesCannotBeTold: prepared.cannot }
    : sourcesOf(prepared, past.shop, machine, span, axis)
}

const emptyAnswer = ({ id }: Machine, { from, to }: Span, axis: string | null) =>
  ({
    ...{ machine: id, axis, from, to, cannotBeTold: null, isBeingLearned: false, restsOn: null, movement: null },
    ...{ causes: [], main: [], answering: [] },
    ...{ inseparable: [], shareSum: null, openings: [], openingsCannotBeTold: [], cycles: [] },
    cyclesCannotBeTold: null,
  }) satisfies SourcesAnswer

/** As `machineSources`, of a machine's span that is prepared already; without a model, what needs none. */
export const sourcesOf = (
  prepared: Prepared | Measured,
  shop: Pick<Shop, 'sources'>,
  machine: Machine,
  span: Span,
  axis: string | null,
): SourcesAnswer => {
  const { begin, courses } = prepared
  const chosen = axis ?? axisThatMoved(prepared, machine)
  const course = prepared.on(chosen)
  const told =
    'effects' in prepared
      ? {
          ...shares(prepared.model, prepared.effects, course, prepared.onMachine, begin, shop.sources),
          restsOn: prepared.restsOn,
        }
      : { cannotBeTold: beingLearned, isBeingLearned: true }
  const found = cycles(course, courses.spacing, begin)
  return {
    ...emptyAnswer(machine, span, chosen),
    ...told,
    ...openings(prepared, course),
    cycles: found ?? [],
    cyclesCannotBeTold: found ? null : 'Too little of the air is known in this span: half a day is needed.',
  }
}

const openings = (
  { courses, begin }: Measured,
  machine: MachineOverSpan,
): Pick<SourcesAnswer, 'openings' | 'openingsCannotBeTold'> => {
  const air = machine.nodes.find(({ kind }) => kind === 'air')!.temperature
  const followed = [
    { of: 'air' as const, values: air },
    ...(machine.growth ? [{ of: 'growth' as const, values: growthOf(machine, null) }] : []),
  ]
  const pulls = drives(courses)
  const found: Pick<SourcesAnswer, 'openings' | 'openingsCannotBeTold'> = { openings: [], openingsCannotBeTold: [] }
  for (const source of courses.sources) {
    if (source.kind !== 'door') continue
    const drive = pulls.find(each => each.source.id === source.id)
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

/** The axis whose growth moved most over a span; null where the machine has none. */
const axisThatMoved = ({ begin, on }: Measured, machine: Machine): string | null => {
  let best: { axis: string | null; moved: number } = { axis: null, moved: -1 }
  for (const { id } of machine.axes) {
    const known = growthOf(on(id), null, begin).subarray(begin).filter(Number.isFinite)
    const moved = known.length > 1 ? standardDeviation(known) : 0
    if (moved > best.moved) best = { axis: id, moved }
  }
  return best.axis
}
