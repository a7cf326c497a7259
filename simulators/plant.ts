/**
 * The physical truth of an invented shop: what it is made of, not what anybody believes about it. All SI: m, s, W, J/K,
 * °C for a temperature, K for a difference, 1/K for expansion.
 */

export interface Plant {
  name: string
  /** IANA name; shifts, deliveries and the season go by it */
  timeZone: string
  /** when heating, vents and chillers work for people; local hours, weekdays 1 Monday … 7 Sunday */
  workingHours: { weekdays: number[]; from: number; to: number }
  weather: WeatherPlant
  zones: ZonePlant[]
  /** air that wanders between two zones, W/K */
  mixing: { between: [string, string]; exchange: number }[]
  sources: SourcePlant[]
  machines: MachinePlant[]
  sensors: SensorPlant[]
  /** true expansion of the materials that are cut here, 1/K by the name the shop gives them */
  partAlpha: Record<string, number>
  /** who plays which part in the scenarios */
  roles: {
    /** the door of the door scenarios */
    door: string
    /** the heat source of the compressor scenario */
    compressor: string
    /** the machine that is warmed up again and again in the demo */
    warmUp: string
    /** the sensor that breaks before the demo is looked at; none if not given */
    breaking?: string
  }
}

export interface WeatherPlant {
  /** °C; mean of the year */
  yearMean: number
  /** K; half the difference between the warmest and the coldest time of the year */
  season: number
  /** K; half the swing of a day, in winter and in summer */
  daySwing: { winter: number; summer: number }
  /** K, s; wandering of air masses */
  airMasses: { spread: number; memory: number }
}

export interface ZonePlant {
  id: string
  /** J/K; air with what is light in it */
  airCapacity: number
  /** J/K; floor, walls, whatever is heavy */
  massCapacity: number
  /** W/K between the two */
  massLink: number
  /** W/K to the outdoors, all doors shut */
  toOutdoors: number
  /** W; through roof and windows at noon under a clear sky */
  sun: number
  /** W; people and lamps while the shop works */
  people: number
  climate: ClimatePlant
}

export type ClimatePlant =
  /** heater and cooler with a thermostat that switches on and off around a set value, lowered at night and weekends */
  | {
      kind: 'thermostat'
      /** °C; during working hours, and outside them */
      day: number
      night: number
      /** K; half the band of the thermostat */
      band: number
      heater: number
      cooler: number
      /** °C; the cooler's set value outside working hours */
      nightCooling: number
      /** s; the heater's own lag */
      lag: number
    }
  /** always kept at one value by the air of a vent */
  | { kind: 'conditioned'; set: number; vent: string; gain: number; resetTime: number; ripple: number; period: number }

export type SourcePlant = DoorPlant | VentPlant | HeatSourcePlant

interface AnySource {
  id: string
  zone: string
  /** s; how slowly the air beside it follows what it does */
  lag: number
}

export interface DoorPlant extends AnySource {
  kind: 'door'
  /** W/K exchanged with the outdoors when open, and through its gaps when shut */
  open: number
  shut: number
  /** part of the outdoors in the air beside it when open, and when shut */
  besideOpen: number
  besideShut: number
  /** deliveries on a working day */
  deliveries: { number: [number, number]; minutes: [number, number]; hours: [number, number] }
  /** trucks that pass through in between: how many a working day, and how long it stands open for each */
  traffic?: { number: [number, number]; seconds: [number, number] }
}

interface VentPlant extends AnySource {
  kind: 'vent'
  /** W/K carried by its air */
  flow: number
  /** local hours on working days, or always */
  hours: [number, number] | 'always'
  /** °C; in the heating and in the cooling season (a vent of a conditioned zone is led by that zone's control) */
  supply: { heating: number; cooling: number }
}

interface HeatSourcePlant extends AnySource {
  kind: 'heat source'
  /** W into the zone when running (0 for a zone's own heater, which its climate counts) */
  power: number
  /** K; air beside it above the zone's when running */
  plume: number
  activity:
    | { kind: 'cycling'; on: [number, number]; off: [number, number]; hours: [number, number] }
    | { kind: 'daily'; hours: [number, number]; weekdays: number[] }
    | { kind: 'heater of its zone' }
}

/** A lump of a machine: a skin that meets the air and a core behind it. */
export interface BodyPlant {
  id: string
  /** the body it is bolted to, and W/K through the joint; the machine's first body has neither */
  on?: string
  joint?: number
  /** J/K, all of it */
  capacity: number
  /** 0..1; part of the capacity that lies in the core */
  coreShare: number
  /** W/K from skin to air, and from skin to core */
  toAir: number
  skinToCore: number
}

export interface AxisPlant {
  id: string
  travel: number
  workAt: number
  measuring: ScrewPlant | ScalePlant
}

export interface ScrewPlant {
  kind: 'screw'
  alpha: number
  /** m; place of the thrust bearing, and of the screw's other end */
  fixedAt: number
  farEnd: number
  diameter: number
  /** W/m²/K to the air at rest (with radiation), and by how much of itself it rises at full motion */
  film: number
  motionFilm: number
  /** the body that holds the thrust bearing, and W of its friction at full motion */
  bearing: string
  bearingHeat: number
  /** W of friction where the nut moves, at full motion */
  nutHeat: number
  mounting: { kind: 'one end fixed' } | { kind: 'both ends fixed'; stretch: number; bed: string; bedAlpha: number }
  /** W/m²/K from its bore to the coolant */
  core?: { film: number }
}

export interface ScalePlant {
  kind: 'scale'
  alpha: number
  fixedAt: number
  from: number
  to: number
  /** J/m/K, W·m/K and W/m/K: heat held, led along and given to the air by a metre of scale with its carrier */
  capacity: number
  along: number
  toAir: number
  /** the body it is mounted on, and W/K there */
  on: string
  joint: number
}

export type StructurePlant =
  | {
      kind: 'bar'
      axis: string
      sign: 1 | -1
      length: number
      alpha: number
      /** how its length is spread over bodies; sums to 1 */
      over: Record<string, number>
    }
  | {
      kind: 'bending column'
      axis: string
      sign: 1 | -1
      height: number
      depth: number
      alpha: number
      front: string
      rear: string
    }

export interface MachinePlant {
  id: string
  zone: string
  /** share of (air beside a source − zone air) that reaches the machine */
  influences: { source: string; share: number }[]
  /** s; how long the air at the machine takes to mix */
  mixing: number
  /** K, s; eddies */
  eddies: { spread: number; memory: number }
  bodies: BodyPlant[]
  axes: AxisPlant[]
  structure: StructurePlant[]
  coolant?: CoolantPlant
  /** the body that takes the spindle's heat, W at full duty */
  spindle: { body: string; heat: number }
  /** W given to the zone: standing by, and at full duty beyond that */
  waste: { standby: number; duty: number }
  /** the sun through a window: W on a body at noon under a clear sky, and the local hours at which it falls there */
  sun?: { body: string; power: number; hours: [number, number] }
  part: { follows: 'air' | 'coolant'; lag: number; workRise: number }
  duty: DutyPlant
}

export interface CoolantPlant {
  /** °C its chiller holds; `towardsAir` of the machine air's distance from it is let through */
  set: number
  towardsAir: number
  /** K at full spindle duty */
  dutyRise: number
  /** s to reach the set value, chiller on, and s to follow the air, chiller off */
  settle: number
  idle: number
  /** K, s; the chiller's own cycling */
  ripple: number
  period: number
  chiller: 'always' | 'working hours'
}

export interface DutyPlant {
  /** local hours; weekdays 1 Monday … 7 Sunday */
  shifts: { weekdays: number[]; from: number; to: number }[]
  /** 0..1; usual level while a job runs, as running mean over cutting and handling */
  spindle: number
  motion: number
  /** hours; length of a job */
  job: [number, number]
  irregular?: {
    /** 0..1; how often a machine stands idle for long after a job, a job is broken off, and is light work */
    idle: number
    brokenOff: number
    light: number
    /** part of the travel; how far from the usual place the nuts may work */
    nutWander: number
    /** how often a part comes from outdoors, and how much of its difference is left when it is put on the machine */
    brought: { chance: number; off: [number, number] }
  }
}

export interface SensorPlant {
  id: string
  topic: string
  /** as the device puts it on the wire */
  payload: { kind: 'number' } | { kind: 'json'; value: string; time: 'ms' | 'iso' }
  unit: '°C' | '°F' | 'state' | '1/min'
  /** s */
  interval: number
  measures: Measured
  /** s; how long it takes to follow what it touches */
  lag: number
  /** 0..1; part of the air in what it feels, though it should feel the body */
  airShare: number
  /** K; standard deviations from which its calibration bias, its placement and each reading's noise are drawn */
  bias: number
  placement: number
  noise: number
  /** K */
  resolution: number
  /** a device without mains: it tells these of itself in every message that is JSON */
  tells?: { name: string; level: number; spread: number; decimals: number }[]
}

export type Measured =
  | { kind: 'body'; machine: string; body: string }
  /** a stretch of the screw or scale of an axis, m along the axis */
  | { kind: 'measuring part'; machine: string; axis: string; from: number; to: number }
  | { kind: 'machine air'; machine: string }
  | { kind: 'coolant'; machine: string }
  | { kind: 'zone'; zone: string }
  | { kind: 'beside'; source: string }
  /** open or closed, on or off */
  | { kind: 'state'; source: string }
  /** what its spindle turns at, 1/min; `highest` at full duty */
  | { kind: 'spindle'; machine: string; highest: number }
  | { kind: 'outdoors' }
