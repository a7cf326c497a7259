const byte = 8
/** bits handled in one step: with up to seven left over from before they fit into 32 */
const step = 24

/** Writes bits one after another, the highest of a number first. */
export class BitWriter {
  private bytes = new Uint8Array(1024)
  private length = 0
  /** bits that do not fill a byte yet, and how many */
  private rest = 0
  private resting = 0

  /** @param value whole, 0 ≤ value < 2^bits   @param bits 0 to 53 */
  write(value: number, bits: number): void {
    let left = bits
    let low = value
    while (left > step) {
      left -= step
      const high = Math.floor(low / 2 ** left)
      this.few(high, step)
      low -= high * 2 ** left
    }
    this.few(low, left)
  }

  /** @returns the bytes; zeros fill the last one */
  finish(): Buffer {
    if (this.resting > 0) this.few(0, byte - this.resting)
    return Buffer.from(this.bytes.subarray(0, this.length))
  }

  private few(value: number, bits: number): void {
    if (this.length + 4 > this.bytes.length) {
      const larger = new Uint8Array(2 * this.bytes.length)
      larger.set(this.bytes)
      this.bytes = larger
    }
    const all = (this.rest << bits) | value
    let waiting = this.resting + bits
    while (waiting >= byte) {
      waiting -= byte
      this.bytes[this.length] = all >>> waiting
      this.length += 1
    }
    this.rest = all & ((1 << waiting) - 1)
    this.resting = waiting
  }
}

/** Reads what `BitWriter` wrote. */
export class BitReader {
  private position = 0

  constructor(readonly bytes: Uint8Array) {}

  /** @param bits 0 to 53 */
  read(bits: number): number {
    let left = bits
    let value = 0
    while (left > step) {
      left -= step
      value += this.few(step) * 2 ** left
    }
    return value + this.few(left)
  }

  /** Counts ones up to the next zero and takes both; after `most` (up to 24) of them no zero is looked for. */
  ones(most: number): number {
    const found = Math.clz32(~this.ahead())
    if (found >= most) {
      this.position += most
      return most
    }
    this.position += found + 1
    return found
  }

  /** @throws Error when more was read than there is */
  assertWithin(): void {
    if (this.position > byte * this.bytes.length) throw new Error('The block ends too early.')
  }

  /** the next 25 bits at least, at the upper end of a number of 32 */
  private ahead(): number {
    const at = this.position >>> 3
    const { bytes } = this
    // beyond the end there are zeros
    const word = (bytes[at]! << 24) | (bytes[at + 1]! << 16) | (bytes[at + 2]! << 8) | bytes[at + 3]!
    return word << (this.position & 7)
  }

  private few(bits: number): number {
    if (bits === 0) return 0
    const value = this.ahead() >>> (32 - bits)
    this.position += bits
    return value
  }
}
