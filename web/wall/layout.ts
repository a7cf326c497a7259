/**
 * How the wall is laid out on a screen.
 * `wide` and `tall` fill the screen and never scroll; everything in them scales with the screen. `list` is for a small
 * screen, or one zoomed in: a readable list that may scroll, in the reader's own text size.
 */
type WallForm = 'wide' | 'tall' | 'list'

export interface WallLayout {
  form: WallForm
  /** CSS px for one px of the design, drawn for 1920 × 1080 (tall: 1080 × 1920) */
  unit: number
  /**
   * How much height a lane has: `tight` writes less in it, `roomy` larger. `rows` are for many machines: name, verdict and
   * ready time alone, in one or more columns, what is not fit first.
   */
  lanes: 'tight' | 'even' | 'roomy' | 'rows'
  /** side by side */
  columns: number
}

/** `frame`: height that is not lanes'; `tight`, `roomy`, `least`: heights of a lane, px. `rows`: how many of them
 * may stand in one column, in each of two, and so on */
const designs = {
  wide: { width: 1920, height: 1080, frame: 272, tight: 84, roomy: 150, least: 64, rows: [0, 13, 16] },
  tall: { width: 1080, height: 1920, frame: 472, tight: 0, roomy: 260, least: 160, rows: [24, 24] },
} as const

/** below this the smallest words on the wall would be under 12 px */
const leastUnit = 0.6

/**
 * @param width    CSS px
 * @param height   CSS px
 * @param machines how many lanes
 */
export const wallLayout = (width: number, height: number, machines: number): WallLayout => {
  const form = width >= height ? 'wide' : 'tall'
  const design = designs[form]
  const unit = Math.min(width / design.width, height / design.height)
  const lane = (height / unit - design.frame) / Math.max(machines, 1)
  if (unit >= leastUnit && lane >= design.least)
    return { form, unit, lanes: lane < design.tight ? 'tight' : lane >= design.roomy ? 'roomy' : 'even', columns: 1 }
  const columns = 1 + design.rows.findIndex((rows, i) => machines <= rows * (i + 1))
  if (unit < leastUnit || columns === 0) return { form: 'list', unit: 1, lanes: 'even', columns: 1 }
  return { form, unit, lanes: 'rows', columns }
}
