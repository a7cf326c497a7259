import type { AxisPlant, BodyPlant, CoolantPlant, ScalePlant, ScrewPlant } from './plant.js'

/** heat held by cast iron, J/kg/K, and by a volume of steel, J/m³/K (room temperature; from memory) */
const IRON_HEAT = 460
const STEEL_HEAT = 3.69e6

const MINUTE = 60
const HOUR = 3600

/** part of an iron body that lies in its core, and how much better heat goes there than to the air */
const CORE_SHARE = 0.7
const CORE_REACH = 8

/**
 * An iron body made to a wished time constant.
 *
 * @param mass kg
 * @param hours how slowly it would follow the air if it were one lump and bolted to nothing
 */
export const ironBody = (id: string, mass: number, hours: number, on?: { body: string; joint: number }): BodyPlant => {
  const capacity = mass * IRON_HEAT
  const toAir = capacity / (hours * HOUR)
  return {
    id,
    ...(on && { on: on.body, joint: on.joint }),
    capacity,
    coreShare: CORE_SHARE,
    toAir,
    skinToCore: CORE_REACH * toAir,
  }
}

/** A bearing block of `mass` kg: one small lump, well joined to what carries it. */
export const bearingBlock = (id: string, on: string, mass = 8): BodyPlant => ({
  id,
  on,
  joint: 2.5,
  capacity: mass * IRON_HEAT,
  coreShare: 0,
  toAir: 0.8,
  skinToCore: 0,
})

/** The bearing blocks of three screws, by what carries them. */
export const bearingBlocks = (x: string, y: string, z: string): BodyPlant[] => [
  bearingBlock('x-bearing', x),
  bearingBlock('y-bearing', y),
  bearingBlock('z-bearing', z),
]

/**
 * A ball screw made to a wished time constant; see ScrewPlant for the rest.
 *
 * @param minutes how slowly it would follow the air at rest, away from its bearing
 */
export const ballScrew = (
  screw: Omit<ScrewPlant, 'kind' | 'film' | 'motionFilm' | 'bearingHeat' | 'mounting'> &
    Partial<Pick<ScrewPlant, 'bearingHeat' | 'mounting'>> & { minutes: number },
): ScrewPlant => {
  const { minutes, ...rest } = screw
  return {
    kind: 'screw',
    bearingHeat: 0.4 * screw.nutHeat,
    mounting: { kind: 'one end fixed' },
    ...rest,
    film: (STEEL_HEAT * screw.diameter) / (4 * minutes * MINUTE),
    motionFilm: 0.5,
  }
}

/**
 * A linear scale with its carrier, made to a wished time constant.
 *
 * @param minutes how slowly it would follow the air, away from its mounting
 */
export const linearScale = (
  scale: Pick<ScalePlant, 'alpha' | 'fixedAt' | 'from' | 'to' | 'on'> & { minutes: number },
): ScalePlant => {
  const { minutes, ...rest } = scale
  const capacity = 900
  return { kind: 'scale', ...rest, capacity, along: 0.02, toAir: capacity / (minutes * MINUTE), joint: 0.03 }
}

type Travel = Pick<AxisPlant, 'travel' | 'workAt'>

/** m; a place beyond the end of the travel, to a tenth of a millimetre */
const beyond = (travel: number, by: number): number => Math.round(1e4 * (travel + by)) / 1e4

/**
 * An axis on a ball screw, as a rule of 32 mm and from 80 mm before the travel to as far behind it; its bearing block bears
 * its name.
 */
export const screwAxis = (
  id: string,
  {
    travel,
    workAt,
    fixedAt = -0.08,
    ...screw
  }: Travel &
    Omit<Parameters<typeof ballScrew>[0], 'fixedAt' | 'farEnd' | 'diameter' | 'bearing'> &
    Partial<Pick<ScrewPlant, 'fixedAt' | 'farEnd' | 'diameter'>>,
): AxisPlant => ({
  id,
  travel,
  workAt,
  measuring: ballScrew({
    fixedAt,
    farEnd: beyond(travel, -fixedAt),
    diameter: 0.032,
    bearing: `${id.toLowerCase()}-bearing`,
    ...screw,
  }),
})

/** An axis with a linear scale that is 20 mm longer than the travel at either end. */
export const scaleAxis = (
  id: string,
  { travel, workAt, ...scale }: Travel & Omit<Parameters<typeof linearScale>[0], 'from' | 'to'>,
): AxisPlant => ({
  id,
  travel,
  workAt,
  measuring: linearScale({ from: -0.02, to: beyond(travel, 0.02), ...scale }),
})

/** A coolant with an ordinary chiller. */
export const chilled = (coolant: Omit<CoolantPlant, 'dutyRise' | 'settle' | 'idle'>): CoolantPlant => ({
  ...coolant,
  dutyRise: 0.3,
  settle: 900,
  idle: 5400,
})
