import { findMaterial } from '../../core/materials.js'
import type { Check } from './check.js'

/** Two sources for each, 1e-6/K. */
const pairs: { name: string; sources: [source: string, alpha: number][] }[] = [
  {
    name: 'steel',
    sources: [
      ['gauge-block steel, ISO 3650, from memory', 11.5],
      ['Swyt, J. Res. NIST 99, 31 (1994)', 11.5],
      ['steel 1020, Callister appendix B.6', 11.7],
    ],
  },
  {
    name: 'aluminium',
    sources: [
      ['Swyt, J. Res. NIST 99, 31 (1994)', 23.1],
      ['aluminium 6061, Callister appendix B.6', 23.6],
    ],
  },
  {
    name: 'grey iron',
    sources: [
      ['Callister appendix B.6', 11.4],
      ['6.5 µin/in/°F, common practice, no source', 11.7],
    ],
  },
]

/** Every source's coefficient lies within twice the standard uncertainty the project works with. */
export const expansionChecks = (): Check[] =>
  pairs.flatMap(({ name, sources }) => {
    const found = findMaterial(name)
    if ('problem' in found) throw new Error(found.problem)
    const { alpha, alphaUncertainty } = found.value
    return sources.map(
      ([source, published]): Check => ({
        item: `expansion of ${name}`,
        source,
        unit: 'µm/m/K',
        published,
        computed: alpha * 1e6,
        allowed: 2 * alphaUncertainty * alpha * 1e6,
      }),
    )
  })
