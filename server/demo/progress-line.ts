/** ms between lines where lines cannot be written over */
const every = 5000

/**
 * Shows how far something is: on a terminal in one line that is written over, elsewhere in a line every five seconds.
 *
 * @param what "two weeks of invented history"
 * @param patience ms; of what takes no longer nothing is shown
 * @returns to be called with the part done, 0..1; at 1 it says how long it took
 */
export const progressLine = (what: string, out: NodeJS.WriteStream, patience = 0): ((part: number) => void) => {
  const begun = Date.now()
  let said = 0
  let done = false
  return part => {
    if (done || Date.now() - begun < patience) return
    const seconds = Math.round((Date.now() - begun) / 1000)
    done = part >= 1
    const left = part > 0.02 && !done ? `, about ${Math.ceil((seconds * (1 - part)) / part)} s left` : ''
    const line = done ? `${what}: done in ${seconds} s` : `${what}: ${Math.floor(100 * part)} %${left}`
    if (out.isTTY) out.write(`\r${line}\u001b[K${done ? '\n' : ''}`)
    else if (done || Date.now() - said >= every) {
      said = Date.now()
      out.write(`${line}\n`)
    }
  }
}
