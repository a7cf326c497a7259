import type { Mark } from '../../../core/happened/index.js'
import type { Machine } from '../../../core/shop.js'
import { type Past, type Span, sensorsAt } from '../../history/index.js'
import { alignmentChecksOf } from '../alignment/alignment.js'
import { workChangesOf } from './work-changes.js'

/** What people did to a machine in a span, and what was found of its sensors, in order of time. */
export const marksIn = async ({ shop, store }: Past, machine: Machine, span: Span): Promise<Mark[]> => {
  const of = { subject: machine.id, ...span }
  const within = ({ at }: { at: number }) => at >= span.from && at < span.to
  const sensors = machine.nodes.flatMap(({ id }) => sensorsAt(shop, machine, id).map(sensor => sensor.id))
  const ofSensors = { subject: sensors, ...span }
  const marks: Mark[] = [
    ...(await store.facts.of('datum', of)).map(({ at, by, note, firstPart = true }) => ({
      ...{ kind: 'datum' as const, at, by, note, firstPart },
    })),
    ...(await store.facts.of('factors', of)).map(({ at, by, note, factors }) => ({
      ...{ kind: 'factors' as const, at, by, note, accepted: factors !== null },
    })),
    ...(await store.facts.of('offset', ofSensors)).map(({ at, by, note, sensor, oldOffset, newOffset }) => ({
      ...{ kind: 'offset' as const, at, by, note, sensor, change: newOffset - oldOffset },
    })),
    ...(await alignmentChecksOf(store, machine.id)).filter(within).map(({ at, by, note, kind }) => ({
      ...{ kind: 'alignment' as const, at, by, note, check: kind },
    })),
    ...(await workChangesOf(store, machine.id)).filter(within).map(change => ({
      ...{ kind: 'work change' as const, at: change.at, by: change.by, note: change.note, change },
    })),
    ...(await store.facts.of('decision', of)).map(({ at, by, note, kind }) => ({
      ...{ kind: 'decision' as const, at, by, note, decision: kind },
    })),
    ...(await store.facts.of('trust', ofSensors)).map(({ at, sensor, trust, fault }) => ({
      ...{ kind: 'trust' as const, at, sensor, trust, fault },
    })),
  ]
  return marks.sort((a, b) => a.at - b.at)
}
