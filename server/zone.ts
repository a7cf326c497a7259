import { IANAZone } from 'luxon'

/** ms; clocks change at whole quarters of an hour of UTC */
const quarter = 900_000
/** quarters that are remembered of a zone: those of 200 days */
const most = 19_200

/** A time zone that looks up its offset from UTC once for each quarter of an hour: that costs much more than all else. */
class KeptZone extends IANAZone {
  /** min, by quarters of an hour since 1970 */
  private readonly offsets = new Map<number, number>()

  override offset(at: number): number {
    const of = Math.floor(at / quarter)
    const before = this.offsets.get(of)
    if (before !== undefined) return before
    if (this.offsets.size >= most) this.offsets.clear()
    const offset = super.offset(at)
    this.offsets.set(of, offset)
    return offset
  }
}

const zones = new Map<string, KeptZone>()

/** The time zone of that name, for luxon. @param name IANA name */
export const zoneOf = (name: string): IANAZone => {
  const known = zones.get(name) ?? new KeptZone(name)
  zones.set(name, known)
  return known
}
