import type { Measurement } from '../../core/state.js'
import type { Store } from '../store/store.js'

/** A machine's measurements in order of the time at which they were read, also those that were set aside since. */
export const measurementsOf = async ({ facts }: Pick<Store, 'facts'>, machine: string): Promise<Measurement[]> => {
  const [measured, asides] = await Promise.all([
    facts.of('measurement', { subject: machine }),
    facts.of('measurement set aside', { subject: machine }),
  ])
  const setAside = new Map(asides.map(({ measurement, at, by, note }) => [measurement, { at, by, note }]))
  return measured
    .map(measurement => ({ ...measurement, setAside: setAside.get(measurement.id) ?? null }))
    .sort((a, b) => a.at - b.at || a.id - b.id)
}
