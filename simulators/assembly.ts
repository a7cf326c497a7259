import { type NetworkNode, ThermalNetwork } from './network.js'
import type { BodyPlant, MachinePlant, ScalePlant, ScrewPlant } from './plant.js'

/** Nodes of a body in its machine's network; the same node twice when the body has no core. */
export interface BodyPlace {
  skin: number
  core: number
  /** 0..1; the core's part in the mean temperature */
  coreShare: number
}

/** The cells of a screw or scale in the network: cell k covers `begin + k·width` to `begin + (k + 1)·width`. */
export interface Strip {
  first: number
  cells: number
  /** m along the axis; the end that is joined to a body */
  begin: number
  /** m, negative when the strip runs towards smaller positions */
  width: number
  /** W/K of each cell to the air, at rest */
  toAir: number
  /** part of the nut's friction in each cell; sums to 1 */
  friction: Float64Array
}

/** heat held by a volume of steel, J/m³/K, and heat led by it, W/m/K (carbon steel at room temperature; from memory) */
const STEEL = { heat: 3.69e6, conductivity: 45 }
const CELLS = 20
/** W/K; through the balls of a thrust bearing (from memory, order of magnitude) */
const BEARING_CONTACT = 0.5
/** a cooled screw's bore as part of its diameter */
const BORE = 0.4

const addBody = (nodes: NetworkNode[], bodies: Map<string, BodyPlace>, machine: string, body: BodyPlant): void => {
  const on = body.on === undefined ? undefined : bodies.get(body.on)
  if (body.on !== undefined && !on) throw new RangeError(`${machine}: body "${body.id}" sits on unknown "${body.on}"`)
  if ((on === undefined) !== (nodes.length === 0))
    throw new RangeError(`${machine}: the first body, and only it, sits on no other ("${body.id}")`)
  const core = nodes.length
  const base = { parent: on?.core ?? -1, link: body.joint ?? 0, toCoolant: 0 }
  if (body.coreShare > 0) {
    nodes.push({ ...base, capacity: body.capacity * body.coreShare, toAir: 0 })
    nodes.push({
      parent: core,
      link: body.skinToCore,
      capacity: body.capacity * (1 - body.coreShare),
      toAir: body.toAir,
      toCoolant: 0,
    })
  } else nodes.push({ ...base, capacity: body.capacity, toAir: body.toAir })
  bodies.set(body.id, { core, skin: nodes.length - 1, coreShare: body.coreShare })
}

interface StripNodes {
  on: BodyPlace
  joint: number
  link: number
  cell: Omit<NetworkNode, 'parent' | 'link'>
}

const screwNodes = (screw: ScrewPlant, on: BodyPlace): StripNodes => {
  const width = Math.abs(screw.farEnd - screw.fixedAt) / CELLS
  const bore = screw.core ? BORE * screw.diameter : 0
  const section = (Math.PI / 4) * (screw.diameter ** 2 - bore ** 2)
  const link = (STEEL.conductivity * section) / width
  return {
    on,
    joint: 1 / (1 / (2 * link) + 1 / BEARING_CONTACT),
    link,
    cell: {
      capacity: STEEL.heat * section * width,
      toAir: screw.film * Math.PI * screw.diameter * width,
      toCoolant: (screw.core?.film ?? 0) * Math.PI * bore * width,
    },
  }
}

const scaleNodes = (scale: ScalePlant, on: BodyPlace): StripNodes => {
  const width = Math.abs(scale.to - scale.from) / CELLS
  return {
    on,
    joint: scale.joint,
    link: scale.along / width,
    cell: { capacity: scale.capacity * width, toAir: scale.toAir * width, toCoolant: 0 },
  }
}

/** Where the nut rubs: most at the work, falling off evenly to nothing at 40 % of the travel to either side; sums to 1. */
export const frictionOver = (strip: Strip, workAt: number, travel: number): Float64Array => {
  const reach = 0.4 * travel
  const share = Float64Array.from({ length: strip.cells }, (_, k) => {
    const middle = strip.begin + (k + 0.5) * strip.width
    return Math.max(0, 1 - Math.abs(middle - workAt) / reach)
  })
  const sum = share.reduce((a, b) => a + b, 0)
  return sum > 0 ? share.map(s => s / sum) : share.fill(1 / strip.cells)
}

/**
 * Builds a machine's thermal network: its bodies, then a chain of cells for the screw or scale of each axis.
 *
 * @param start °C everywhere at the beginning
 * @throws RangeError when something sits on a body that is not there
 */
export const assemble = (plant: MachinePlant, start: number) => {
  const nodes: NetworkNode[] = []
  const bodies = new Map<string, BodyPlace>()
  for (const body of plant.bodies) addBody(nodes, bodies, plant.id, body)
  const bodyOf = (id: string): BodyPlace => {
    const body = bodies.get(id)
    if (!body) throw new RangeError(`${plant.id} has no body "${id}"; it has ${[...bodies.keys()].join(', ')}`)
    return body
  }
  const strips = plant.axes.map((axis): Strip => {
    const part = axis.measuring
    const chain = part.kind === 'screw' ? screwNodes(part, bodyOf(part.bearing)) : scaleNodes(part, bodyOf(part.on))
    const [begin, end] = part.kind === 'screw' ? [part.fixedAt, part.farEnd] : [part.from, part.to]
    const first = nodes.length
    for (let k = 0; k < CELLS; k++)
      nodes.push({
        ...chain.cell,
        parent: k === 0 ? chain.on.core : first + k - 1,
        link: k === 0 ? chain.joint : chain.link,
      })
    const strip: Strip = {
      first,
      cells: CELLS,
      begin,
      width: (end - begin) / CELLS,
      toAir: chain.cell.toAir,
      friction: new Float64Array(CELLS),
    }
    strip.friction = frictionOver(strip, axis.workAt, axis.travel)
    return strip
  })
  return { nodes, network: new ThermalNetwork(nodes, start), bodyOf, strips }
}

/**
 * How far each cell of a strip lies between two places, m; negative when `to` is before `from`.
 * The sum is `to − from` when both lie on the strip.
 */
export const stretchOver = (strip: Strip, from: number, to: number): Float64Array => {
  const low = Math.min(from, to)
  const high = Math.max(from, to)
  return Float64Array.from({ length: strip.cells }, (_, k) => {
    const a = strip.begin + k * strip.width
    const b = a + strip.width
    const covered = Math.min(high, Math.max(a, b)) - Math.max(low, Math.min(a, b))
    return Math.max(0, covered) * Math.sign(to - from)
  })
}

/** Mean of a strip's temperatures over a stretch of it, °C; `weights` from `stretchOver`. */
export const meanOver = (strip: Strip, weights: Float64Array, temperature: Float64Array): number => {
  let sum = 0
  let length = 0
  for (let k = 0; k < strip.cells; k++) {
    sum += weights[k]! * temperature[strip.first + k]!
    length += weights[k]!
  }
  return sum / length
}
