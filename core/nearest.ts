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
  const asked = plain(written)
  if (asked === '') return []
  const allowed = Math.min(asked.length - 1, Math.max(1, Math.floor(asked.length / 3)))
  const near: { name: string; mistakes: number }[] = []
  for (const name of names) {
    const mistakes = mistakesBetween(asked, plain(name))
    const within =
      asked.length >= 3 && (plain(name).includes(asked) || (asked.includes(plain(name)) && name.length >= 3))
    // a name that holds the written one whole comes after every plain slip of the pen
    if (mistakes <= allowed || within) near.push({ name, mistakes: mistakes <= allowed ? mistakes : 100 + mistakes })
  }
  near.sort((x, y) => x.mistakes - y.mistakes)
  return near.slice(0, count).map(each => each.name)
}
