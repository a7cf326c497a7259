/**
 * Follows the lengths of MQTT packets through a stream of bytes, whatever pieces it comes in, without keeping any.
 *
 * @returns a function that takes the next piece and says whether a packet has announced more than `most` bytes
 * @see MQTT 3.1.1, 2.2 Fixed header, 2.2.3 Remaining Length
 */
export const packetSizes = (most: number): ((bytes: Uint8Array) => boolean) => {
  /** bytes of the present packet still to come; −1 within its fixed header */
  let left = 0
  let factor = 1
  return bytes => {
    let next = 0
    while (next < bytes.length) {
      if (left > 0) {
        const passed = Math.min(left, bytes.length - next)
        left -= passed
        next += passed
      } else if (left === 0) {
        // the first byte of a fixed header; the length follows, seven bits a byte
        left = -1
        factor = 1
        next += 1
      } else {
        const byte = bytes[next]!
        left -= (byte & 127) * factor
        factor *= 128
        next += 1
        if (-1 - left > most || factor > 128 ** 4) return true
        if (byte < 128) left = -1 - left
      }
    }
    return false
  }
}
