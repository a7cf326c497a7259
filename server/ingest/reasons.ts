/** Why a message, or a part of it, was not taken. Fixed phrases, so that they can be counted. */
export const reasons = {
  unknownTopic: 'unknown topic',
  tooLarge: 'payload too large',
  notJson: 'not JSON',
  noList: 'no list of readings',
  longList: 'too many readings in one message',
  manyMetrics: 'too many metrics in one message',
  nameMissing: 'name of the sensor missing',
  valueMissing: 'value missing',
  timeMissing: 'time missing',
  noValue: 'sent without a value',
  notNumber: 'not a number',
  notState: 'not a state',
  notFinite: 'not a finite number',
  unknownUnit: 'unit not known',
  impossible: 'not a possible temperature',
  impossibleAtSpindle: 'not a possible speed or length',
  badBattery: 'battery not understood',
  badSignal: 'signal not understood',
  badTime: 'time not understood',
  noZone: 'time without a zone',
  unclearTime: 'time at which the clocks are set',
  future: 'time in the future',
  retained: 'retained without a time',
  waited: 'waited at the broker without a time',
  pruned: 'older than the readings kept',
  notSparkplug: 'not a Sparkplug payload',
  beforeBirth: 'data before its birth',
  unknownAlias: 'alias not in the birth',
  badQuality: 'of bad quality by its own word',
  gap: 'messages missing before this one',
  oldDeath: 'death of an earlier session',
  broke: 'the service failed at it',
} as const

export type RefusalReason = (typeof reasons)[keyof typeof reasons]

/** Something was read, or it was not and this is why. */
export type Read = { value: number } | { reason: RefusalReason }
