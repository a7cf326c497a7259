/** A part cut into cells that exchange heat with each other and, at its faces, with what surrounds it. SI. */
export interface CutPart {
  conductivity: number
  /** J/m³/K */
  volumeHeat: number
  body:
    | { kind: 'block'; size: [number, number, number] }
    | { kind: 'cylinder'; diameter: number; length: number }
    | { kind: 'ball'; diameter: number }
  /** W/m²/K on all faces but one */
  film: number
  /** W/m²/K on the face it lies on: of a block the one at the beginning of its first size, of a cylinder an end */
  below: number
}

/** One axis of a grid: where its cells begin and end, and how large their faces and volumes are along it. */
interface Axis {
  cells: number
  /** face in front of cell i, and of the end: its area, as a factor */
  face: (i: number) => number
  /** volume of cell i, as a factor */
  volume: (i: number) => number
  width: number
  films: [number, number]
}

const straight = (length: number, cells: number, films: [number, number]): Axis => ({
  cells,
  width: length / cells,
  face: () => 1,
  volume: () => length / cells,
  films,
})

/** from the middle of something round outwards, in shells; of a cylinder (power 1) for a radian, of a ball (2) for a steradian */
const outwards = (radius: number, cells: number, power: 1 | 2, film: number): Axis => {
  const width = radius / cells
  return {
    cells,
    width,
    face: i => (i * width) ** power,
    volume: i => (((i + 1) * width) ** (power + 1) - (i * width) ** (power + 1)) / (power + 1),
    films: [0, film],
  }
}

const axesOf = ({ body, film, below }: CutPart, cells: number): Axis[] => {
  switch (body.kind) {
    case 'block':
      return body.size.map((length, i) => straight(length, cells, [i === 0 ? below : film, film]))
    case 'cylinder':
      return [straight(body.length, cells, [below, film]), outwards(body.diameter / 2, cells, 1, film)]
    case 'ball':
      return [outwards(body.diameter / 2, cells, 2, film)]
  }
}

/**
 * Lets a part soak, by finite volumes and small explicit steps: 1 K away from surroundings that stay.
 *
 * @param cells along each of its axes
 * @param visit is told the mean difference that is left, K, after each step; false ends it
 */
export const letSoak = (part: CutPart, cells: number, visit: (elapsed: number, mean: number) => boolean): void => {
  const axes = axesOf(part, cells)
  const strides = axes.map((_, a) => axes.slice(0, a).reduce((product, axis) => product * axis.cells, 1))
  const total = axes.reduce((product, axis) => product * axis.cells, 1)
  const place = (cell: number, a: number) => Math.floor(cell / strides[a]!) % axes[a]!.cells
  const across = (cell: number, a: number) =>
    axes.reduce((product, axis, b) => (b === a ? product : product * axis.volume(place(cell, b))), 1)

  const volume = Float64Array.from({ length: total }, (_, cell) =>
    axes.reduce((product, axis, a) => product * axis.volume(place(cell, a)), 1),
  )
  const toOutside = new Float64Array(total)
  const links: { from: number; to: number; conductance: number }[] = []
  for (let cell = 0; cell < total; cell++)
    axes.forEach((axis, a) => {
      const [i, area] = [place(cell, a), across(cell, a)]
      // at a face the film, and half a cell of material behind it
      const outside = (film: number, at: number) =>
        film === 0 ? 0 : (axis.face(at) * area) / (1 / film + axis.width / 2 / part.conductivity)
      if (i === 0) toOutside[cell]! += outside(axis.films[0], 0)
      if (i === axis.cells - 1) toOutside[cell]! += outside(axis.films[1], axis.cells)
      else {
        const conductance = (part.conductivity * axis.face(i + 1) * area) / axis.width
        links.push({ from: cell, to: cell + strides[a]!, conductance })
      }
    })

  const leaving = toOutside.slice()
  for (const { from, to, conductance } of links) {
    leaving[from]! += conductance
    leaving[to]! += conductance
  }
  let step = Number.POSITIVE_INFINITY
  for (let cell = 0; cell < total; cell++)
    step = Math.min(step, (0.8 * part.volumeHeat * volume[cell]!) / leaving[cell]!)
  const whole = volume.reduce((sum, each) => sum + each, 0)
  const [difference, flow] = [new Float64Array(total).fill(1), new Float64Array(total)]
  for (let n = 1, goesOn = true; goesOn; n++) {
    for (let cell = 0; cell < total; cell++) flow[cell] = -toOutside[cell]! * difference[cell]!
    for (const { from, to, conductance } of links) {
      const along = conductance * (difference[from]! - difference[to]!)
      flow[from]! -= along
      flow[to]! += along
    }
    let mean = 0
    for (let cell = 0; cell < total; cell++) {
      difference[cell]! += (step * flow[cell]!) / (part.volumeHeat * volume[cell]!)
      mean += difference[cell]! * volume[cell]!
    }
    goesOn = visit(n * step, mean / whole)
  }
}

/** s; until a part that began 1 K away from its surroundings has so much left in the mean. @param left K, below 1 */
export const soakedAfter = (part: CutPart, cells: number, left: number): number => {
  let [before, mean, reached] = [0, 1, 0]
  letSoak(part, cells, (elapsed, now) => {
    // the crossing lies between two steps; differences decay, so it is looked for in their logarithms
    if (now <= left) reached = before + ((elapsed - before) * Math.log(mean / left)) / Math.log(mean / now)
    ;[before, mean] = [elapsed, now]
    return now > left
  })
  return reached
}
