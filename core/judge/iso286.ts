/** Upper limits of the nominal size ranges, mm; a size belongs to the range whose upper limit it does not exceed. */
const ranges = [3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500]

/** Standard tolerances, µm, by grade, in the order of `ranges`. ISO 286-1:2010 table 1; rows to 18 mm from memory. */
const table: Record<number, number[]> = {
  5: [4, 5, 6, 8, 9, 11, 13, 15, 18, 20, 23, 25, 27],
  6: [6, 8, 9, 11, 13, 16, 19, 22, 25, 29, 32, 36, 40],
  7: [10, 12, 15, 18, 21, 25, 30, 35, 40, 46, 52, 57, 63],
  8: [14, 18, 22, 27, 33, 39, 46, 54, 63, 72, 81, 89, 97],
  9: [25, 30, 36, 43, 52, 62, 74, 87, 100, 115, 130, 140, 155],
  10: [40, 48, 58, 70, 84, 100, 120, 140, 160, 185, 210, 230, 250],
}

/**
 * Standard tolerance of an ISO grade for a nominal size.
 *
 * @param grade 5 to 10, for IT5 to IT10
 * @param size nominal size, m; over 0 and up to 0.5 m
 * @returns width of the tolerance zone, m
 * @throws RangeError when grade or size lie outside the table
 * @see ISO 286-1:2010, table 1. The table rules where it differs from the formula's rounding.
 */
export const standardTolerance = (grade: number, size: number): number => {
  const row = table[grade]
  if (!row) throw new RangeError(`grade IT${grade} is not in the table: use IT5 to IT10`)
  const millimetres = size * 1000
  // a size of exactly 50 mm may arrive as 50.000000000000004
  const range = ranges.findIndex(limit => millimetres <= limit + 1e-9)
  if (!(millimetres > 0) || range < 0)
    throw new RangeError(`size ${millimetres} mm is not in the table: over 0, up to 500 mm`)
  return row[range]! * 1e-6
}
