/**
 * Seeded randomness. Every part of the shop draws from a stream of its own, named after what it is for, so that one
 * part drawing more or fewer numbers never changes another, and the same seed always gives the same shop.
 */
export interface Random {
  /** evenly between 0 (included) and 1 (excluded) */
  uniform(): number
  /** evenly between two values */
  between(low: number, high: number): number
  /** mean 0, standard deviation 1 */
  normal(): number
  /** like `normal`, but never beyond ±limit (drawn again) */
  bounded(limit: number): number
}

/** 32-bit FNV-1a hash of a text, with a final mix so that similar names end far apart. */
const hash = (text: string): number => {
  let h = 0x811c9dc5
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193)
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b)
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35)
  return (h ^ (h >>> 16)) >>> 0
}

/**
 * A stream of random numbers (sfc32, C. Doty-Humphrey, public domain; normal deviates by G. Marsaglia's polar method,
 * SIAM Review 6, 260, 1964).
 *
 * @param seed any finite number
 * @param name what the stream is for, e.g. "weather"
 */
export const randomStream = (seed: number, name: string): Random => {
  let a = hash(`${seed}/${name}/a`)
  let b = hash(`${seed}/${name}/b`)
  let c = hash(`${seed}/${name}/c`)
  let counter = 1
  let spare = Number.NaN

  const uniform = (): number => {
    const t = (((a + b) | 0) + counter) | 0
    counter = (counter + 1) | 0
    a = b ^ (b >>> 9)
    b = (c + (c << 3)) | 0
    c = (((c << 21) | (c >>> 11)) + t) | 0
    return (t >>> 0) / 4294967296
  }
  for (let i = 0; i < 12; i++) uniform()

  const normal = (): number => {
    if (!Number.isNaN(spare)) {
      const ready = spare
      spare = Number.NaN
      return ready
    }
    for (;;) {
      const u = 2 * uniform() - 1
      const v = 2 * uniform() - 1
      const s = u * u + v * v
      if (s > 0 && s < 1) {
        const scale = Math.sqrt((-2 * Math.log(s)) / s)
        spare = v * scale
        return u * scale
      }
    }
  }

  const bounded = (limit: number): number => {
    for (;;) {
      const value = normal()
      if (Math.abs(value) <= limit) return value
    }
  }

  return { uniform, normal, bounded, between: (low, high) => low + (high - low) * uniform() }
}

/**
 * A quantity that wanders about zero (Ornstein–Uhlenbeck process), stepped exactly for any step length.
 *
 * @param spread standard deviation in the long run, in the quantity's unit
 * @param memory s; correlation time
 */
export const createWander = (random: Random, spread: number, memory: number) => {
  let value = spread * random.normal()
  let step = Number.NaN
  let keep = 0
  let kick = 0
  return {
    value: (): number => value,
    /** @param h s */
    advance: (h: number): number => {
      if (h !== step) {
        step = h
        keep = Math.exp(-h / memory)
        kick = spread * Math.sqrt(1 - keep * keep)
      }
      value = value * keep + kick * random.normal()
      return value
    },
  }
}
