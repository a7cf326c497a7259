import { type Reader, sayReason, saySensorFault } from '../core/sentences/index.js'
import type { Reason, SensorState } from '../core/state.js'

/** Who reads in UTC. */
export const reader = (now: number, system: Reader['system'] = 'metric'): Reader => ({ system, zone: 'UTC', now })

/** What is said first of a reason, empty when there is none. */
export const inWords = (reason: Reason | undefined, to: Reader = reader(0)): string =>
  reason ? sayReason(reason, to).text : ''

/** Why a sensor is not believed, as it is said a moment after its newest reading; empty when it is. */
export const faultOf = ({ fault, at, since }: Pick<SensorState, 'fault' | 'at' | 'since'>): string =>
  fault ? saySensorFault(fault, reader(at ?? since)).text : ''
