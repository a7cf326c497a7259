/** columns of a terminal, a mail or a narrow print */
export const columns = 80

/** a number is not parted from its unit */
const unbroken = (text: string): string => text.replace(/(\d) (µm|in|tenths|K|°C|°F|min|h|s)(?![a-z])/g, '$1\u00a0$2')

/**
 * Text in lines of at most 80 columns, broken between words; what is longer than a line by itself is cut.
 *
 * @param first what the first line begins with; the others are indented as far
 */
export const wrapped = (first: string, text: string): string[] => {
  const indent = ' '.repeat(first.length)
  const room = columns - first.length
  const lines: string[] = []
  let line = ''
  for (const word of unbroken(text).split(' ').filter(Boolean)) {
    if (line !== '' && line.length + 1 + word.length > room) {
      lines.push(line)
      line = ''
    }
    line = (line === '' ? word : `${line} ${word}`).slice(0, room)
  }
  if (line !== '' || lines.length === 0) lines.push(line)
  return lines.map((each, i) => `${i === 0 ? first : indent}${each}`.trimEnd().replaceAll('\u00a0', ' '))
}

/** Text of a certain width, cut or filled up with spaces. */
export const column = (text: string, width: number): string =>
  text.length > width ? `${text.slice(0, width - 1)}…` : text.padEnd(width)
