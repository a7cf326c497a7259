import * as mathjs from 'mathjs'
import { predict, startFollowing, temperatureAfter } from '../../core/settling/index.js'
import type { Check } from './check.js'

/** relative and absolute tolerance of the integrator in each of its steps */
const tolerance = 1e-10
/** mathjs brings no type for it */
const { solveODE } = mathjs as unknown as {
  solveODE(
    f: (t: number, y: number[]) => number[],
    span: [number, number],
    start: number[],
    options: { tol: number },
  ): { y: number[][] }
}

/** y at the end of y' = f(t, y), by an embedded Runge–Kutta method. */
const integrated = (f: (t: number, y: number[]) => number[], end: number, start: number[]): number[] =>
  solveODE(f, [0, end], start, { tol: tolerance }).y.at(-1)!

/** A node of 45 min, 3 K of excess still to come, over one hour; and what an observer knows of it. */
export const integratedChecks = (): Check[] => {
  const [tau, surroundings, excess, start, hour] = [2700, 21, 3, 20, 3600]
  const [after] = integrated((_, [t]) => [(surroundings + excess - t!) / tau], hour, [start])
  const settings = { timeConstant: tau, steadyExcess: excess, noise: 0.05, wander: 0 }
  const begun = startFollowing(0, start, settings)
  // K² per second that the observer grants its model, 0.02 K in an hour
  const walk = 0.02 ** 2 / 3600
  const minutes = 5
  const elapsed = 60 * minutes
  let estimate = begun
  for (let n = 1; n <= minutes; n++) estimate = predict(estimate, surroundings, n * 60_000, settings)
  const [mean, varTemperature, covariance] = integrated(
    (_, [t, p, c]) => [(surroundings + excess - t!) / tau, (2 * (c! - p!)) / tau + walk, (begun.varExcess - c!) / tau],
    elapsed,
    [start, begun.varTemperature, begun.covariance],
  )
  const source = 'mathjs, solveODE (Runge–Kutta 2(3))'
  // the tolerance is met in each step; a hundred steps are more than it takes
  const integrator = (scale: number) => 1e4 * tolerance * scale
  return [
    {
      item: 'first order: temperature after an hour',
      source: `${source}; allowed: its tolerance`,
      unit: '°C',
      published: after!,
      computed: temperatureAfter(start, surroundings + excess, tau, hour),
      allowed: integrator(1),
    },
    {
      item: 'observer: temperature after five minutes',
      source: `${source}; allowed: its tolerance`,
      unit: '°C',
      published: mean!,
      computed: estimate.temperature,
      allowed: integrator(1),
    },
    {
      item: 'observer: variance of the temperature',
      source: `${source}; allowed: noise that enters within a step of 60 s fades within it`,
      unit: 'K²',
      published: varTemperature!,
      computed: estimate.varTemperature,
      allowed: walk * elapsed * (60 / tau) + integrator(1e-2),
    },
    {
      item: 'observer: covariance with the excess',
      source: `${source}; allowed: its tolerance`,
      unit: 'K²',
      published: covariance!,
      computed: estimate.covariance,
      allowed: integrator(1),
    },
  ]
}
