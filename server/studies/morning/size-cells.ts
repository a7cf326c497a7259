import { standardTolerance } from '../../../core/judge/index.js'
import { type Parsed, parseLength } from '../../../core/units.js'
import { quoted, readLength } from '../../table/index.js'

/** What the cells of a feature's size and tolerance say: SI. */
interface FeatureSize {
  length: number
  tolerance: number
  grade?: string
}

/** the grade behind a size, or alone: H7, h6, JS8, IT6 */
const graded = /^([A-Za-z]{1,2}) ?(\d{1,2})$/

const wrong = (problem: string, remedy: string) => ({ problem, remedy })
const remedy =
  'write the size with its unit and its tolerance, for example 40 H7, 40 mm ± 0.01 mm or 1.5 in with 0.0006 in'

/** "40 mm H7" → "40 mm" and "H7"; the grade is null where there is none */
const parted = (text: string): { size: string; grade: string | null } => {
  const at = /^IT ?(\d{1,2}) +at +/i.exec(text)
  if (at) return { size: text.slice(at[0].length), grade: `IT${at[1]}` }
  const end = text.length
  let digits = end
  while (digits > 0 && /\d/.test(text[digits - 1]!)) digits -= 1
  let letters = digits
  while (letters > 0 && /[A-Za-z]/.test(text[letters - 1]!)) letters -= 1
  if (digits === end || letters === digits || digits - letters > 2 || letters === 0) return { size: text, grade: null }
  return { size: text.slice(0, letters).trim(), grade: text.slice(letters) }
}

const withUnit = (text: string, unit: string): string => (/^[\d.]+$/.test(text) ? `${text} ${unit || 'mm'}` : text)

const widthOf = (grade: string, length: number): Parsed<number> => {
  const found = graded.exec(grade)
  if (!found) return wrong(`${quoted(grade)} is not a grade`, 'write it as H7, h6 or IT6')
  try {
    return { value: standardTolerance(Number(found[2]), length) }
  } catch (error) {
    return wrong(
      (error as RangeError).message,
      'write a grade from 5 to 10 and a size up to 500 mm, or the tolerance itself',
    )
  }
}

/** The full width of a tolerance: `±0.01 mm` is twice that; or a grade for the size. @param length m */
const toleranceOf = (text: string, unit: string, length: number): Parsed<number> & { grade?: string } => {
  if (graded.test(text) && !/^\d/.test(text)) {
    const width = widthOf(text, length)
    return 'value' in width ? { ...width, grade: text } : width
  }
  const both = /^(?:±|\+\/?-)/.exec(text)
  const read = readLength(text.slice(both?.[0].length ?? 0).trim(), unit)
  return 'problem' in read ? read : { value: read.value * (both ? 2 : 1) }
}

/**
 * A feature's size and tolerance, as people write them: `40 H7`, `Ø 80 h6`, `1.5 in H7`, `IT6 at 80 mm`, `40 mm ± 0.01 mm`,
 * or the tolerance in a cell of its own. A bare number is in the unit of its column's heading, else in mm, as ISO 286
 * has it.
 *
 * @param units of the columns' headings
 * @returns with the column that is to blame where it cannot be read
 */
export const featureSize = (
  cells: { size: string; tolerance: string },
  units: { size: string; tolerance: string },
): FeatureSize | { column: 'size' | 'tolerance'; problem: string; remedy: string } => {
  const [first = '', beside = '', ...more] = cells.size.replace(/^[Øø⌀]/u, '').split(/(?=±)/)
  if (more.length > 0) return { column: 'size', ...wrong(`${quoted(cells.size)} has ± more than once`, remedy) }
  const { size, grade } = parted(first.trim())
  const length = parseLength(withUnit(size, units.size))
  if ('problem' in length) return { column: 'size', ...length }
  if (!(length.value > 0 && length.value <= 20))
    return { column: 'size', ...wrong(`the size ${quoted(cells.size)} is not above 0 and up to 20 m`, remedy) }
  const said = [grade, beside.trim(), cells.tolerance.trim()].filter(Boolean)
  if (said.length === 0) return { column: 'tolerance', ...wrong('there is no tolerance', remedy) }
  if (said.length > 1)
    return {
      column: 'tolerance',
      ...wrong(
        `the tolerance is said ${said.length} times`,
        'write it once: as a grade behind the size, or in its own cell',
      ),
    }
  const column = cells.tolerance.trim() ? 'tolerance' : 'size'
  const width = toleranceOf(said[0]!, column === 'tolerance' ? units.tolerance : units.size, length.value)
  if ('problem' in width) return { column, problem: width.problem, remedy: width.remedy }
  if (!(width.value > 0 && width.value < length.value))
    return {
      column,
      ...wrong(
        `the tolerance ${quoted(said[0]!)} is not above 0 and below the size`,
        'write the full width of its zone, for example 22 µm',
      ),
    }
  return {
    length: length.value,
    tolerance: width.value,
    ...('grade' in width && width.grade && { grade: width.grade }),
  }
}
