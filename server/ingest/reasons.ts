/** Why a message, or a part of it, was not taken. Fixed phrases, so that they can be counted. */
export const reasons = {
  unknownTopic: 'unknown topic',
  tooLarge: 'payload too large',
  notJson: 'not JSON',
  valueMissing: 'value missing',
  timeMissing: 'time missing',
  notNumber: 'not a number',
  notState: 'not a state',
  notFinite: 'not a finite number',
  impossible: 'not a possible temperature',
  badTime: 'time not understood',
  noZone: 'time without a zone',
  future: 'time in the future',
  retained: 'retained without a time',
  waited: 'waited at the broker without a time',
  pruned: 'older than the readings kept',
} as const

export type RefusalReason = (typeof reasons)[keyof typeof reasons]

/** Something was read, or it was not and this is why. */
export type Read = { value: number } | { reason: RefusalReason }
