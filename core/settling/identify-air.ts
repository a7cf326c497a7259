import { atOnce, fitting } from './identify-fit.js'
import { averaged, evenly } from './identify-resample.js'

/** s; between the values */
const spacing = 300
/** values that are averaged at least: the band in which bodies of an hour or so move is left. Judgement, no source */
const narrowest = 3

/**
 * Compares what a node could follow: the same model is fitted against each, and each one's log-likelihood is given.
 *
 * Only moments at which all candidates are known count, so that the figures can be compared.
 *
 * @param times      ms, ascending, any spacing up to 15 min
 * @param node       °C at those times, NaN where nothing is known
 * @param candidates °C at those times, one series each
 * @param start      s; time constant that the search starts from
 * @param readEvery  s; between readings of the slowest of all; values on a line between two are one value
 * @returns log-likelihoods in the order of the candidates; −Infinity where nothing can be compared. A difference of 10
 * leaves no doubt between two series that are independent; their errors are alike in part, so ask for more.
 * @see Ljung, L. (1999), System Identification, 2nd ed., 16.4 (comparing model structures)
 */
export function* comparingSurroundings(
  times: ArrayLike<number>,
  node: ArrayLike<number>,
  candidates: readonly ArrayLike<number>[],
  start = 3600,
  readEvery = spacing,
): Generator<void, number[]> {
  const width = Math.max(narrowest, Math.ceil(readEvery / spacing))
  const series = candidates.map(candidate => averaged(evenly(times, node, candidate, spacing), width))
  const found: number[] = []
  for (const data of series) {
    yield
    const node = data.node.map((value, i) => (series.every(other => !Number.isNaN(other.air[i]!)) ? value : Number.NaN))
    const fit = yield* fitting({ ...data, node }, { main: start, fast: atOnce, share: 0.04 }, null)
    found.push(-fit.cost)
  }
  return found
}
