import type { Random } from '../random.js'

/** standard deviations beyond which nothing is drawn: the truth is as uncertain as stated, but not absurd */
const LIMIT = 2.5

/** One of several, each as likely. */
export const oneOf = <T>(random: Random, choices: readonly T[]): T =>
  choices[Math.floor(random.uniform() * choices.length)]!

/** True with a probability. */
export const chance = (random: Random, probability: number): boolean => random.uniform() < probability

/** Between two values in steps: what people write down is round. */
export const rounded = (random: Random, low: number, high: number, step: number): number =>
  Math.round(random.between(low, high) / step) * step

/** The truth behind a stated value with a relative standard uncertainty. */
export const around = (random: Random, stated: number, relative: number): number =>
  stated * (1 + relative * random.bounded(LIMIT))

/** The same for what can be off by a large factor: its logarithm is normal. */
export const aroundFactor = (random: Random, stated: number, relative: number): number =>
  stated * Math.exp(relative * random.bounded(LIMIT))
