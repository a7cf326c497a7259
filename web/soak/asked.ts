import { materials, type TabledMaterial } from '../../core/materials.js'
import {
  type Part,
  type Shape,
  type SoakingPlace,
  type Surface,
  soakingPlaces,
  surfaces,
} from '../../core/soak/index.js'

/**
 * What is asked, as the page's address holds it: SI, so that it means the same to readers of either units, and a soak that
 * has begun can be sent to somebody or looked at again on a phone.
 */
export interface Asked {
  material: TabledMaterial
  shape: Shape
  surface: Surface
  /** m; the length whose error counts */
  length: number
  /** °C; the part's at the beginning */
  start: number
  place: SoakingPlace
  /** °C; null: that of the shop's air */
  surroundings: number | null
  /** m */
  allowed: number
  /** ms; null: it has not begun */
  since: number | null
}

/** A size of a shape: its name in the address, what it is called, and what stands there before somebody says otherwise. */
interface Size {
  key: string
  label: string
  of: 'length' | 'mass'
  /** m or kg */
  usual: number
}

const size = (key: string, label: string, usual: number, of: Size['of'] = 'length'): Size => ({ key, label, of, usual })

/** Every shape with its sizes, those of a rectangular gauge block of 100 mm first. */
export const shapes: Record<Shape['kind'], { text: string; note: string; sizes: Size[] }> = {
  block: {
    text: 'Block',
    note: 'It lies on length × width.',
    sizes: [size('l', 'Length', 0.1), size('w', 'Width', 0.035), size('h', 'Height', 0.009)],
  },
  cylinder: {
    text: 'Round',
    note: 'It stands on its end. One that lies touches a plate in a line only: take still air.',
    sizes: [size('d', 'Diameter', 0.05), size('l', 'Length', 0.1)],
  },
  ball: {
    text: 'Ball',
    note: 'It touches a plate in a point only, so on a plate it soaks as in still air.',
    sizes: [size('d', 'Diameter', 0.03)],
  },
  plate: {
    text: 'Thickness only',
    note: 'For a part much wider than it is thick: at least five times.',
    sizes: [size('h', 'Thickness', 0.02)],
  },
  mass: {
    text: 'Mass only',
    note: 'Its surface is not known, so the answer is wide. What it lies on is left out.',
    sizes: [size('m', 'Mass', 5, 'mass')],
  },
}

/** m, kg, °C; what a part in a shop can be */
export const limits = {
  length: { low: 0.0005, high: 10 },
  mass: { low: 0.001, high: 50_000 },
  temperature: { low: -45, high: 200 },
  error: { low: 1e-8, high: 0.001 },
}

const numberOf = (text: string | null, { low, high }: { low: number; high: number }): number | null => {
  const value = text === null || text.trim() === '' ? Number.NaN : Number(text)
  return value >= low && value <= high ? value : null
}

const one = <T extends string>(of: readonly T[], text: string | null): T => of.find(each => each === text) ?? of[0]!

/** What an address asks; what it does not say, or says wrongly, is as usual. */
export const readAsked = (query: URLSearchParams): Asked => {
  const kind = one(Object.keys(shapes) as Shape['kind'][], query.get('shape'))
  const [first = 0, second = 0, third = 0] = shapes[kind].sizes.map(
    ({ key, of, usual }) => numberOf(query.get(key), limits[of]) ?? usual,
  )
  const shape = {
    block: { kind: 'block', length: first, width: second, height: third },
    cylinder: { kind: 'cylinder', diameter: first, length: second },
    ball: { kind: 'ball', diameter: first },
    plate: { kind: 'plate', thickness: first },
    mass: { kind: 'mass', mass: first },
  } as const
  const named = (name: string | null) => materials.find(each => each.name === name)
  const since = Date.parse(query.get('since') ?? '')
  return {
    material: named(query.get('material')) ?? named('gauge-block steel')!,
    shape: shape[kind],
    surface: one(surfaces, query.get('surface')),
    length: numberOf(query.get('counts'), limits.length) ?? 0.1,
    start: numberOf(query.get('start'), limits.temperature) ?? 28,
    place: one(soakingPlaces, query.get('place')),
    surroundings: numberOf(query.get('around'), limits.temperature),
    allowed: numberOf(query.get('error'), limits.error) ?? 0.2e-6,
    since: Number.isNaN(since) ? null : since,
  }
}

export const partOf = ({ material, shape, surface, length }: Asked): Part => ({ material, shape, surface, length })

/** A number as the address writes it. */
export const writtenNumber = (value: number): string => String(Number(value.toPrecision(8)))
