/** The content of a shop file, as far as random shops use it. Quantities are texts as people write them. */
export interface ShopText {
  shop: { name: string; 'time zone': string; 'reference temperature': string; invented: true }
  sources: Record<string, { name: string; kind: 'door' | 'vent' | 'heat source' }>
  materials: Record<string, { expansion: string; source: string }>
  'work classes': Record<string, WorkText>
  machines: Record<string, MachineText>
  'sensor defaults': { unit: string; interval: string; uncertainty: string; payload: PayloadText }
  sensors: Record<string, SensorText>
}

export type PayloadText = 'number' | { value: string; time: string }

export interface WorkText {
  name: string
  tolerance: string
  feature: string
  material: string
  duration: string
  share: string
}

export interface NodeText {
  name: string
  kind?: 'air' | 'coolant'
  follows?: string
  'time constant'?: string
  placement?: string
  required?: false
}

export interface PartText {
  material: string
  'fixed at': string
  mounting?: 'one end fixed' | 'both ends fixed'
  stretch?: string
  bed?: { material: string; nodes: string }
  'bearing on'?: string
  nodes: string
}

export interface AxisText {
  travel: string
  'work at': string
  screw?: PartText
  scale?: PartText
}

export type ElementText =
  | { bar: string; axis: string; sign: '+' | '-'; length: string; material: string; nodes: string | NodeShares }
  | {
      'bending column': string
      axis: string
      sign: '+' | '-'
      height: string
      depth: string
      material: string
      front: string
      rear: string
    }
type NodeShares = Record<string, number>

export interface MachineText {
  name: string
  description: string
  place: string
  'exposed to': string[]
  nodes: Record<string, NodeText>
  axes: Record<string, AxisText>
  structure: ElementText[]
  workpiece: { node: string; uncertainty: string; 'time constant': string }
}

export interface SensorText {
  topic: string
  at: string
  unit?: string
  interval?: string
  uncertainty?: string
  payload?: PayloadText
}

const rounded = (value: number, digits: number): string => String(Number(value.toFixed(digits)))

/** How this shop writes lengths: in millimetres, or in inches to the tenth of a thousandth. */
export type Lengths = 'mm' | 'in'

/** @param value m */
export const lengthText = (value: number, lengths: Lengths): string =>
  lengths === 'in' ? `${rounded(value / 0.0254, 4)} in` : `${rounded(value * 1000, 3)} mm`

/** @param value K, a difference */
export const kelvinText = (value: number): string => `${rounded(value, 3)} K`

/** @param value s */
export const durationText = (value: number): string =>
  value < 120
    ? `${rounded(value, 0)} s`
    : value < 7200
      ? `${rounded(value / 60, 1)} min`
      : `${rounded(value / 3600, 2)} h`

/** @param value s, @param uncertainty relative standard uncertainty */
export const timeConstantText = (value: number, uncertainty: number): string =>
  `${durationText(value)} ± ${rounded(100 * uncertainty, 0)} %`

/** @param value 1/K, @param uncertainty relative standard uncertainty */
export const expansionText = (value: number, uncertainty: number): string =>
  `${rounded(value * 1e6, 2)} µm/m/K ± ${rounded(100 * uncertainty, 1)} %`
