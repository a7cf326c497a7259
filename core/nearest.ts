/**
 * Number of single-letter mistakes (missing, extra, wrong, two neighbours swapped) that turn one word into the other.
 *
 * @returns count ≥ 0; 0 for equal words
 * @see optimal string alignment distance (Damerau, CACM 7, 171 (1964); restricted form)
 */
export const mistakesBetween = (a: string, b: string): number => {
  let before: number[] = []
  let last = Array.from({ length: b.length + 1 }, (_, j) => j)
  for (let i = 1; i <= a.length; i++) {
    const row = [i]
    for (let j = 1; j <= b.length; j++) {
      const wrong = last[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1)
      let least = Math.min(wrong, last[j]! + 1, row[j - 1]! + 1)
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) least = Math.min(least, before[j - 2]! + 1)
      row.push(least)
    }
    before = last
    last = row
  }
  return last[b.length]!
}

/** characters */
const longest = 200

const plain = (name: string) =>
  name
    .toLowerCase()
    .replace(/[\s_-]+/g, ' ')
    .trim()

/**
 * The names a misspelt one was probably meant to be, likeliest first; none when nothing comes near.
 *
 * @param written the name as written
 * @param names   the valid ones
 * @param count   how many at most
 */
export const nearestNames = (written: string, names: Iterable<string>, count = 3): string[] => {
  // the work grows with the square of a name's length, and no slip of the pen is this long
  if (written.length > longest) return []
  const asked = plain(written)
  if (asked === '') return []
  const allowed = Math.min(asked.length - 1, Math.max(1, Math.floor(asked.length / 3)))
  const near: { name: string; mistakes: number }[] = []
  const holding: string[] = []
  for (const name of names) {
    if (name.length > longest) continue
    const mistakes = mistakesBetween(asked, plain(name))
    if (mistakes <= allowed) near.push({ name, mistakes })
    else if (asked.length >= 3 && plain(name).includes(asked)) holding.push(name)
  }
  near.sort((x, y) => x.mistakes - y.mistakes)
  // one letter wrong beats two; names that hold the written one whole come after every slip of the pen
  const likely = near.filter(({ mistakes }) => mistakes <= near[0]!.mistakes * 1.5).map(({ name }) => name)
  return [...likely, ...holding].slice(0, count)
}
