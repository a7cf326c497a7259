/**
 * A thermal network in the form of a tree: every node holds heat, and exchanges it with its parent, with the air and
 * with a coolant. A screw is a chain of such nodes hanging off its bearing, which hangs off the bed.
 *
 * One step solves the whole network at once: two implicit stages (second order, L-stable: R. Alexander, SIAM J. Numer.
 * Anal. 14, 1006, 1977), each by elimination from the leaves to the root and back, in a time proportional to the number
 * of nodes (M. Hines, Int. J. Bio-Medical Computing 15, 69, 1984). What one node gives the other receives, to rounding.
 */
export interface NetworkNode {
  /** index of the parent; smaller than the node's own; -1 for the root, which comes first */
  parent: number
  /** W/K to the parent */
  link: number
  /** J/K */
  capacity: number
  /** W/K to the air */
  toAir: number
  /** W/K to the coolant */
  toCoolant: number
}

const GAMMA = 1 - Math.SQRT1_2

export class ThermalNetwork {
  readonly size: number
  /** °C by node */
  readonly temperature: Float64Array
  /** W put into each node */
  readonly heat: Float64Array
  /** W/K to the air; after changing it call `changed` */
  readonly toAir: Float64Array
  readonly capacity: Float64Array
  private readonly parent: Int32Array
  private readonly link: Float64Array
  private readonly toCoolant: Float64Array
  private readonly factor: Float64Array
  private readonly inverse: Float64Array
  private readonly stage: Float64Array
  private eliminatedFor = Number.NaN

  /**
   * @param nodes parents before their children
   * @param start °C of every node at the beginning
   * @throws RangeError when a node comes before its parent or has no heat capacity
   */
  constructor(nodes: readonly NetworkNode[], start: number) {
    this.size = nodes.length
    nodes.forEach((node, i) => {
      if (i > 0 ? node.parent < 0 || node.parent >= i : node.parent !== -1)
        throw new RangeError(
          `network node ${i} has parent ${node.parent}; the root comes first, parents before children`,
        )
      if (!(node.capacity > 0)) throw new RangeError(`network node ${i} has no heat capacity`)
    })
    this.parent = Int32Array.from(nodes, node => node.parent)
    this.link = Float64Array.from(nodes, (node, i) => (i > 0 ? node.link : 0))
    this.capacity = Float64Array.from(nodes, node => node.capacity)
    this.toAir = Float64Array.from(nodes, node => node.toAir)
    this.toCoolant = Float64Array.from(nodes, node => node.toCoolant)
    this.temperature = new Float64Array(this.size).fill(start)
    this.heat = new Float64Array(this.size)
    this.factor = new Float64Array(this.size)
    this.inverse = new Float64Array(this.size)
    this.stage = new Float64Array(this.size)
  }

  /** Says that an exchange with the air was changed, so that the next step eliminates anew. */
  changed(): void {
    this.eliminatedFor = Number.NaN
  }

  /**
   * Moves the network forward with air, coolant and heat held.
   *
   * @param h s
   * @param air °C
   * @param coolant °C; without meaning where nothing touches a coolant
   */
  step(h: number, air: number, coolant: number): void {
    if (h !== this.eliminatedFor) this.eliminate(h)
    const { size, temperature, heat, capacity, toAir } = this
    const stage = this.stage
    const toCoolant = this.toCoolant
    const gh = GAMMA * h
    for (let i = 0; i < size; i++)
      stage[i] = capacity[i]! * temperature[i]! + gh * (heat[i]! + toAir[i]! * air + toCoolant[i]! * coolant)
    this.solve()
    const reach = (1 - GAMMA) / GAMMA
    for (let i = 0; i < size; i++) {
      const begun = temperature[i]!
      stage[i] =
        capacity[i]! * (begun + reach * (stage[i]! - begun)) +
        gh * (heat[i]! + toAir[i]! * air + toCoolant[i]! * coolant)
    }
    this.solve()
    temperature.set(stage)
  }

  private eliminate(h: number): void {
    const gh = GAMMA * h
    const diagonal = this.inverse
    const link = this.link
    const parent = this.parent
    for (let i = 0; i < this.size; i++)
      diagonal[i] = this.capacity[i]! + gh * (this.toAir[i]! + this.toCoolant[i]! + link[i]!)
    for (let i = this.size - 1; i > 0; i--) diagonal[parent[i]!]! += gh * link[i]!
    for (let i = this.size - 1; i > 0; i--) {
      const exchange = gh * link[i]!
      const factor = exchange / diagonal[i]!
      this.factor[i] = factor
      diagonal[parent[i]!]! -= factor * exchange
    }
    for (let i = 0; i < this.size; i++) diagonal[i] = 1 / diagonal[i]!
    this.eliminatedFor = h
  }

  private solve(): void {
    const right = this.stage
    const parent = this.parent
    const factor = this.factor
    const inverse = this.inverse
    for (let i = this.size - 1; i > 0; i--) right[parent[i]!]! += factor[i]! * right[i]!
    right[0] = right[0]! * inverse[0]!
    for (let i = 1; i < this.size; i++) right[i] = right[i]! * inverse[i]! + factor[i]! * right[parent[i]!]!
  }
}
