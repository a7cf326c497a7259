import type { Random } from '../random.js'
import { oneOf, rounded } from './draws.js'
import type { Materials } from './materials.js'
import { durationText, type Lengths, lengthText, type WorkText } from './shop-text.js'

interface Kind {
  id: string
  name: string
  /** m; length of the feature */
  feature: [number, number]
  /** IT grades, or widths as parts of the feature's length */
  tolerance: { grades: number[] } | { partOfFeature: [number, number] }
  /** s */
  duration: [number, number]
}

const MINUTE = 60

/** @param minutes how long a job takes */
const kind = (
  id: string,
  feature: Kind['feature'],
  tolerance: Kind['tolerance'],
  [least, most]: [minutes: number, minutes: number],
): Kind => ({
  id,
  name: `${id[0]!.toUpperCase()}${id.slice(1).replace('-', ' ')}`,
  feature,
  tolerance,
  duration: [least * MINUTE, most * MINUTE],
})

/** From close to easy. */
const kinds = [
  kind('close-bores', [0.06, 0.16], { grades: [5, 6] }, [20, 60]),
  kind('bearing-seats', [0.04, 0.12], { grades: [5, 6] }, [15, 45]),
  kind('fixture-plates', [0.2, 0.4], { partOfFeature: [1e-4, 1.7e-4] }, [60, 180]),
  kind('housings', [0.15, 0.32], { grades: [6, 7] }, [45, 120]),
  kind('brackets', [0.08, 0.25], { grades: [7, 8] }, [20, 90]),
]

/** Two or three kinds of work of differing difficulty. */
export const randomWork = (random: Random, materials: Materials, lengths: Lengths): Record<string, WorkText> => {
  const count = oneOf(random, [2, 3, 3])
  const skipped = kinds.map(kind => ({ kind, order: random.uniform() })).sort((a, b) => a.order - b.order)
  const chosen = new Set(skipped.slice(0, count).map(({ kind }) => kind))
  const step = lengths === 'in' ? 0.0254 / 4 : 0.005
  return Object.fromEntries(
    kinds
      .filter(kind => chosen.has(kind))
      .map((kind): [string, WorkText] => {
        const feature = rounded(random, ...kind.feature, step)
        const written = lengthText(feature, lengths)
        const grade = 'grades' in kind.tolerance ? `IT${oneOf(random, kind.tolerance.grades)} at ${written}` : null
        const part = 'grades' in kind.tolerance ? 0 : random.between(...kind.tolerance.partOfFeature)
        return [
          kind.id,
          {
            name: kind.name,
            tolerance: grade ?? lengthText(Math.round((part * feature) / 2.54e-6) * 2.54e-6, lengths),
            feature: written,
            material: oneOf(random, materials.parts).name,
            duration: durationText(rounded(random, ...kind.duration, 5 * MINUTE)),
            share: `${oneOf(random, [20, 25, 30, 35])} %`,
          },
        ]
      }),
  )
}
