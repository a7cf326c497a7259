import { crc32 } from 'node:zlib'

/**
 * Stored bytes with a CRC-32 behind them, told apart by their first byte, which is the form's version. Bytes that a
 * former version of the service wrote have none.
 */
const bare = 1
/** differs from `bare` in every bit, so that no small damage makes checked bytes look like bare ones */
const checked = 0xfe
const length = 4

/** the sum also covers where the bytes belong: a block that comes up in another's place is as wrong as a changed one */
const sumOf = (bytes: Uint8Array, key: string): number => crc32(bytes.subarray(1), crc32(key))

/**
 * @param bytes  beginning with the version 1
 * @param key where they belong: table and key in it
 */
export const withChecksum = (bytes: Uint8Array, key: string): Buffer => {
  const all = Buffer.alloc(bytes.length + length)
  all.set(bytes)
  all[0] = checked
  all.writeUInt32LE(sumOf(bytes, key), bytes.length)
  return all
}

/**
 * @param key as it was given to `withChecksum`
 * @returns the bytes as they were given to it
 * @throws Error when they are not what was written there
 */
export const withoutChecksum = (all: Buffer, key: string): Buffer => {
  if (all[0] === bare) return all
  const bytes = all.subarray(0, -length)
  if (all[0] !== checked || all.length <= length || all.readUInt32LE(bytes.length) !== sumOf(bytes, key))
    throw new Error('The checksum of stored readings does not fit.')
  bytes[0] = bare
  return bytes
}
