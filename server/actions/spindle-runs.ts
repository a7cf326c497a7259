import type { RunAnswer, RunEvent, SpindleRun } from '../../core/spindle/index.js'
import type { Store } from '../store/store.js'

/** The guided growth test that goes on at a machine, and the one that ended last. */
export const spindleRunOf = async (
  { facts }: Pick<Store, 'facts'>,
  machine: string,
): Promise<Pick<RunAnswer, 'run' | 'last'>> => {
  const span = { subject: machine }
  const [runs, tests, givenUp] = await Promise.all([
    facts.of('spindle run', span),
    facts.of('spindle test', span),
    facts.of('spindle run given up', span),
  ])
  const ended = new Map<number, number | null>([
    ...tests.flatMap(({ run, id }): [number, number][] => (run === null ? [] : [[run, id]])),
    ...givenUp.map(({ run }): [number, null] => [run, null]),
  ])
  const last = runs.findLast(({ id }) => ended.has(id))
  return {
    run: runs.findLast(({ id }) => !ended.has(id)) ?? null,
    last: last ? { run: last.id, test: ended.get(last.id)! } : null,
  }
}

/** What happened in a guided test, in the order in which it was told. */
export const runEventsOf = async (
  { facts }: Pick<Store, 'facts'>,
  { id, machine, at }: Pick<SpindleRun, 'id' | 'machine' | 'at'>,
): Promise<RunEvent[]> => {
  const told = await facts.of('spindle run events', { subject: machine, from: at })
  return told.flatMap(({ run, events }) => (run === id ? events : []))
}
