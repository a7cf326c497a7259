import { createWander, type Random } from '../../../simulators/random.js'

export const bedFaults = [
  'fell off',
  'frozen',
  'stuck',
  'drift 0.1',
  'drift 0.3',
  'drift 1',
  'jump',
  'noisy',
  'swapped',
] as const
export type BedFault = (typeof bedFaults)[number]

/** What a probe is like; all probes of a site are of one make, as bought. */
export const drawMake = (random: Random, kind: 'mill' | 'rooms') => {
  const of = random.uniform()
  const interval =
    kind === 'rooms' ? [60, 300, 600, 900][Math.floor(of * 4)]! : [30, 60, 60, 120, 300, 600, 900][Math.floor(of * 7)]!
  return {
    interval,
    resolution: [0.01, 0.0625, 0.1, 0.1, 0.5][Math.floor(random.uniform() * 5)]!,
    /** K; reports when so much has changed, and at its interval else; 0: only at its interval */
    onChange: interval >= 600 && random.uniform() < 0.5 ? random.between(0.1, 0.3) : 0,
    noise: random.between(0.005, 0.06),
    gaps: random.between(0, 0.15),
  }
}
type Make = ReturnType<typeof drawMake>

/** One probe: touches well or poorly, lags, is off, is noisy, tells in steps; and breaks on demand. */
export const createProbe = (
  random: Random,
  { interval, resolution, onChange, noise }: Make,
  touches: () => number,
  airAround: () => number,
  isAir: boolean,
) => {
  const airShare = isAir ? 0 : random.uniform() < 0.25 ? random.between(0.1, 0.35) : random.between(0, 0.08)
  const lag = random.between(20, 180)
  const offset = 0.15 * random.bounded(2.5)
  const slow = createWander(random, random.between(0.005, 0.03), 6 * 3600)
  const phase = random.uniform() * interval
  let felt = Number.NaN
  let fault: BedFault | null = null
  let since = 0
  let held = Number.NaN
  let size = 0
  let last = Number.NaN
  let lastAt = -phase
  let other: (() => number) | null = null
  const touched = () => (1 - airShare) * touches() + airShare * airAround()

  return {
    touched,
    break: (kind: BedFault, t: number, swappedWith: (() => number) | null) => {
      fault = kind
      since = t
      other = swappedWith
      const sign = random.uniform() < 0.5 ? -1 : 1
      size = sign * (kind === 'jump' ? random.between(1, 3) : kind === 'noisy' ? random.between(0.5, 1.5) : 1)
    },
    /** @returns °C it sends now; null while it sends nothing */
    step: (t: number, h: number): number | null => {
      const target = fault === 'fell off' ? airAround() : fault === 'swapped' ? other!() : touched()
      felt = Number.isNaN(felt) ? target : felt + (1 - Math.exp(-h / lag)) * (target - felt)
      slow.advance(h)
      if (t - lastAt < (onChange > 0 ? 30 : interval)) return null
      let value = felt + offset + slow.value() + noise * random.normal()
      if (fault?.startsWith('drift')) value += (size * Number(fault.slice(6)) * (t - since)) / 86_400
      if (fault === 'jump') value += size
      if (fault === 'noisy') value += size * random.normal()
      if (fault === 'frozen' && !Number.isNaN(last)) value = last
      if (fault === 'stuck') {
        if (Number.isNaN(held)) held = value
        value = held + 0.7 * resolution * random.normal()
      }
      value = Math.round(Math.round(value / resolution) * resolution * 1e4) / 1e4
      if (onChange > 0 && t - lastAt < interval && Math.abs(value - last) < onChange) return null
      lastAt = t
      last = value
      return value
    },
  }
}
