import { standardTolerance } from '../../core/judge/index.js'
import type { Check } from './check.js'

/** Standard tolerances of ISO 286-1, µm, IT5 to IT10; second-hand copy. */
const printed: [lower: number, upper: number, ...tolerances: number[]][] = [
  [18, 30, 9, 13, 21, 33, 52, 84],
  [30, 50, 11, 16, 25, 39, 62, 100],
  [50, 80, 13, 19, 30, 46, 74, 120],
  [80, 120, 15, 22, 35, 54, 87, 140],
  [120, 180, 18, 25, 40, 63, 100, 160],
  [180, 250, 20, 29, 46, 72, 115, 185],
  [250, 315, 23, 32, 52, 81, 130, 210],
  [315, 400, 25, 36, 57, 89, 140, 230],
  [400, 500, 27, 40, 63, 97, 155, 250],
]

/** Cells where the printed table differs from the formula rounded by the standard's rule; there the table rules. */
const tableRules = new Set(['6 315', '6 400', '7 400'])

/** Rounding of the standard: above 100 µm to the next 5 µm, above 200 µm to 10 µm; whole µm below. From memory. */
const roundedBy286 = (micrometres: number): number => {
  const to = micrometres > 200 ? 10 : micrometres > 100 ? 5 : 1
  return Math.round(micrometres / to) * to
}

/** Multiples of the tolerance factor for IT5 to IT10. ISO 286-1:2010 */
const gradeMultiples = [7, 10, 16, 25, 40, 64]

/** i = 0.45·∛D + 0.001·D, µm; D the geometric mean of the size range, mm. ISO 286-1:2010 */
const toleranceFactor = (lower: number, upper: number): number => {
  const size = Math.sqrt(lower * upper)
  return 0.45 * Math.cbrt(size) + 0.001 * size
}

export const toleranceChecks = (): Check[] =>
  printed.flatMap(([lower, upper, ...row]) =>
    row.flatMap((published, i): Check[] => {
      const grade = 5 + i
      const item = `IT${grade}, over ${lower} to ${upper} mm`
      const source = 'ISO 286-1 table 1, second-hand copy'
      const table: Check = {
        item,
        source,
        unit: 'µm',
        published,
        computed: standardTolerance(grade, upper / 1000) * 1e6,
        allowed: 1e-6,
      }
      if (tableRules.has(`${grade} ${lower}`)) return [table]
      const formula: Check = {
        item: `${item}, by formula`,
        source: 'ISO 286-1:2010, formula and its rounding, from memory',
        unit: 'µm',
        published: roundedBy286(gradeMultiples[i]! * toleranceFactor(lower, upper)),
        computed: table.computed,
        allowed: 1e-6,
      }
      return [table, formula]
    }),
  )
