import { type Reader, sayDoubt, sayReason } from '../core/sentences/index.js'
import type { Reason, SensorState } from '../core/state.js'

/** Who reads in UTC. */
export const reader = (now: number, system: Reader['system'] = 'metric'): Reader => ({ system, zone: 'UTC', now })

/** What is said first of a reason, empty when there is none. */
export const inWords = (reason: Reason | undefined, to: Reader = reader(0)): string =>
  reason ? sayReason(reason, to).text : ''

/** Why a sensor is not believed, as it is said a moment after its newest reading; empty when it is. */
export const doubtOf = ({ doubt, at, since }: Pick<SensorState, 'doubt' | 'at' | 'since'>): string =>
  doubt ? sayDoubt(doubt, reader(at ?? since)).text : ''
