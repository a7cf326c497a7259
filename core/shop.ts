/**
 * The shop as the computation sees it: machines, their nodes and thermal loops, sensors, sources, work classes.
 * Everything SI: m, s, °C for a temperature, K for a difference, 1/K for expansion, s for durations.
 * The shop file's schema (server/shop) produces exactly these types.
 */

export interface Shop {
  name: string
  /** IANA name, e.g. "Europe/Vienna"; all times on the pages are given in it */
  timeZone: string
  /** °C, 20 by ISO 1 */
  referenceTemperature: number
  /** said on every page when the shop is invented */
  invented: boolean
  machines: Machine[]
  sensors: Sensor[]
  /** %; a sensor's battery with so much left, or less, is low; 20 if not given */
  lowBattery?: number
  sources: Source[]
  workClasses: WorkClass[]
  /** topics that carry many sensors, tried in this order; none if not given */
  topics?: TopicMapping[]
  /** not given: commands are never published */
  sparkplug?: {
    /** nodes whose birth is not known may be asked for it, the one command that the service ever publishes */
    requestRebirth: boolean
  }
}

export interface Machine {
  id: string
  name: string
  /** one line under the name: "vertical, steel screws" */
  description: string
  /** where it stands, in the shop's words */
  place: string
  nodes: Node[]
  axes: Axis[]
  structure: StructureElement[]
  /** what the workpiece's temperature is taken from while a job runs */
  workpiece: WorkpieceTemperature
  /** ids of the sources that can disturb this machine */
  exposedTo: string[]
}

/** One place on a machine whose temperature is followed. */
export interface Node {
  id: string
  /** as a machinist calls it: "X screw", "column rear", "air at the machine" */
  name: string
  /** `body` follows the air with a time constant; `air` and `coolant` are what bodies follow */
  kind: 'body' | 'air' | 'coolant'
  /** the node this body approaches; absent for air and coolant */
  follows?: string
  /** s; configured prior. Absent for air and coolant */
  timeConstant?: number
  /** relative standard uncertainty of the time constant, e.g. 0.3 */
  timeConstantUncertainty?: number
  /** K; how much this node usually stays above what it follows (its own heat); prior, 0 if not given */
  steadyExcess?: number
  /** K; standard uncertainty that the sensor's place stands for the node's mean temperature */
  placementUncertainty: number
  /** a verdict needs this node */
  required: boolean
  /** used when this node's own sensors are missing, with the larger uncertainty */
  standIn?: { node: string; uncertainty: number }
}

/** weights over nodes; they sum to 1 */
export type NodeWeights = Record<string, number>

export interface Material {
  name: string
  /** 1/K */
  alpha: number
  /** relative standard uncertainty of alpha */
  alphaUncertainty: number
}

export interface Axis {
  /** "X" */
  id: string
  /** m; positions run from 0 to travel */
  travel: number
  /** m; where along the travel the work is held */
  workAt: number
  measuring: Screw | Scale
}

/** Rotary encoder on a ball screw: positions follow the screw. */
export interface Screw {
  kind: 'screw'
  material: Material
  nodes: NodeWeights
  /** m; the fixed (thrust) bearing's place on the axis; may lie outside 0..travel. Growth is measured from here. */
  fixedAt: number
  mounting: ScrewMounting
}
export type ScrewMounting =
  /** `bearingOn` the casting that carries the fixed bearing, and so holds the screw's end at its own temperature */
  | { kind: 'one end fixed'; bearingOn?: NodeWeights }
  /** `stretch` K: the warming that uses the pretension up; `bed` what positions follow until then */
  | { kind: 'both ends fixed'; stretch: number; bed: { material: Material; nodes: NodeWeights } }

/** Linear scale: positions follow the scale. */
export interface Scale {
  kind: 'scale'
  material: Material
  nodes: NodeWeights
  /** m; the place on the axis where the scale is fixed */
  fixedAt: number
}

/** Further elements of the thermal loop. `sign` +1: growth reads as longer on the axis, -1: as shorter. */
export type StructureElement =
  | {
      kind: 'bar'
      id: string
      name: string
      axis: string
      sign: 1 | -1
      length: number
      material: Material
      nodes: NodeWeights
    }
  /** a column `height` m high and `depth` m deep that bends by the difference front minus rear */
  | {
      kind: 'bending column'
      id: string
      name: string
      axis: string
      sign: 1 | -1
      height: number
      depth: number
      material: Material
      front: NodeWeights
      rear: NodeWeights
    }

export interface WorkpieceTemperature {
  /** a node of the machine (its air, its coolant, or a sensor on the part) */
  node: string
  /** K; standard uncertainty of taking that node for the part */
  uncertainty: number
  /** s; how slowly a part takes that temperature on */
  timeConstant: number
}

export interface Sensor {
  id: string
  name: string
  /** in full; not given when the sensor is found by the shop's `topics` or by `sparkplug` */
  topic?: string
  /** what messages call it where they name their sensor; its id if not given */
  nameOnBroker?: string
  sparkplug?: SparkplugMetric
  /** of the messages on its own topic */
  payload: PayloadForm
  /** unit of the number on the wire; `state` sensors carry open/closed or on/off */
  unit: '°C' | '°F' | 'K' | 'state'
  /** the number on the wire times this is in `unit`; 1 if not given */
  scale?: number
  /** s; how often it is expected to report */
  interval: number
  /** K; standard uncertainty of its calibration: the certificate's where there is one */
  uncertainty: number
  calibration?: Calibration
  /** K; the step its readings move in, where the readings themselves may not show it */
  resolution?: number
  /** sensors of one batch share an offset nobody knows; K, its standard uncertainty */
  batch?: { name: string; uncertainty: number }
  /** K; added to every reading: the file's, or the one accepted last after a common-temperature check */
  offset: number
  at: SensorPlace
}

/** What is known of a sensor's last calibration. */
export interface Calibration {
  /** ISO 8601 day in the shop's time zone */
  date?: string
  /** ISO 8601 day; by its end it must have been calibrated again */
  due?: string
  /** K, standard; already in the sensor's `uncertainty` */
  uncertainty?: number
  /** number or name of the certificate */
  certificate?: string
}

export type PayloadForm =
  | { kind: 'number' }
  /** dotted paths into a JSON message; "." is the whole */
  | {
      kind: 'json'
      value: string
      /** without it, the moment of arrival counts */
      time?: string
      /** where a list of readings is; the other paths then begin at each of its items */
      readings?: string
      /** where the message, or the item, names its sensor */
      name?: string
      /** where it says its unit; the sensor's where it says none */
      unit?: string
      /** IANA name, for times written without a zone; they are refused if not given */
      timeZone?: string
      battery?: BatteryForm
      signal?: SignalForm
    }

/** Where a device tells what is left in its battery. */
export interface BatteryForm {
  /** a path like the others, or the name of a Sparkplug metric */
  at: string
  unit: '%' | 'V'
  /** in that unit: with so much left, or less, it is low. If not given, the shop's for %, and none for V */
  low?: number
}

/** Where a device tells how well it is received. */
export interface SignalForm {
  /** a path like the others, or the name of a Sparkplug metric */
  at: string
  unit: 'dBm' | '%'
}

/** One entry of the shop file for the topics of many sensors. */
export interface TopicMapping {
  /** a topic with named parts, at most one a level: plant/{sensor}/temperature */
  pattern: string
  /** how the sensor's name is made of the pattern's parts and of {name}, the name in the message */
  sensor: string
  payload: PayloadForm
}

/** A metric of an Eclipse Sparkplug B edge node, or of a device behind it. */
export interface SparkplugMetric {
  group: string
  node: string
  device?: string
  metric: string
  battery?: BatteryForm
  signal?: SignalForm
}

export type SensorPlace =
  | { kind: 'node'; machine: string; node: string }
  /** beside a door, vent or heat source; a `state` sensor here tells whether it is open or running */
  | { kind: 'source'; source: string }
  | { kind: 'shop air' }
  | { kind: 'outdoors' }

export interface Source {
  id: string
  name: string
  kind: 'door' | 'vent' | 'heat source'
}

export interface WorkClass {
  id: string
  name: string
  /** m; full width of the tolerance zone */
  tolerance: number
  /** m; length of the feature along the axis */
  featureLength: number
  material: Material
  /** s */
  duration: number
  /** 0..0.5; share of the tolerance width that heat may take */
  share: number
  /** what zero counts from: set at each job's start, or at the machine's datum when one is set */
  zeroedAt: 'job start' | 'datum'
}
