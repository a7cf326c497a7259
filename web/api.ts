import type { Identification } from '../core/settling/index.js'
import type { Shop } from '../core/shop.js'
import type { Datum, Forecast, SensorState, VerdictChange } from '../core/state.js'
import { recall } from './preferences.js'

/** The service's answers to questions, beside the live stream. Every function throws an Error whose message can be shown. */

export const path = (address: string, search: Record<string, string | number> = {}): string => {
  const query = new URLSearchParams(Object.entries(search).map(([key, value]) => [key, String(value)]))
  return query.size === 0 ? address : `${address}?${query}`
}

/** what the service answers when it cannot do what was asked */
interface Refusal {
  error: { what: string; remedy: string }
}

export class Refused extends Error {
  readonly status: number
  constructor(message: string, status: number) {
    super(message)
    this.status = status
  }
}

const sentence = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1)

export const ask = async <T>(address: string, init?: RequestInit): Promise<T> => {
  let response: Response
  try {
    response = await fetch(address, init)
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') throw error
    throw new Error('The service did not answer. It may be stopped, or the network is down.')
  }
  if (!response.ok) {
    const body = (await response.json().catch(() => null)) as Partial<Refusal> | null
    const said = [body?.error?.what, body?.error?.remedy].flatMap(words => (words ? sentence(words) : [])).join(' ')
    throw new Refused(said || `The service answered ${response.status} ${response.statusText}.`, response.status)
  }
  return (await response.json()) as T
}

export interface ShopAnswer {
  shop: Shop
  version: string
  advice: string
  writesNeedToken: boolean
}
export const fetchShop = (): Promise<ShopAnswer> => ask('/api/shop')

export type NamedSensor = SensorState & { name: string; place: string }
export const sensorsPath = (format?: 'csv'): string => path('/api/sensors', format ? { format } : {})
export const fetchSensors = (signal: AbortSignal): Promise<{ sensors: NamedSensor[] }> => ask(sensorsPath(), { signal })

/** the last 24 hours of every sensor, coarse */
export interface Courses {
  courses: { sensor: string; values: (number | null)[] }[]
}
export const fetchCourses = (signal: AbortSignal): Promise<Courses> => ask('/api/sensors/courses', { signal })

export interface SeriesPoint {
  at: number
  count: number
  mean: number
  min: number
  max: number
}
export interface Series {
  sensor: string
  level: 'reading' | 'minute' | 'quarter hour' | 'hour'
  points: SeriesPoint[]
}
export interface Range {
  from: number
  to: number
  points: number
}
export const seriesPath = (sensors: readonly string[], range: Range, format?: 'csv'): string =>
  path('/api/series', { sensors: sensors.join(','), ...range, ...(format && { format }) })
export const fetchSeries = (
  sensors: readonly string[],
  range: Range,
  signal: AbortSignal,
): Promise<{ series: Series[] }> => ask(seriesPath(sensors, range), { signal })

export interface GrowthSeries {
  axis: string
  points: { at: number; atZero: number | null; atWork: number | null; atTravel: number | null }[]
}
export const machinePath = (machine: string, rest: string): string =>
  `/api/machines/${encodeURIComponent(machine)}/${rest}`
export const growthPath = (machine: string, range: Range, format?: 'csv'): string =>
  path(machinePath(machine, 'growth'), { ...range, ...(format && { format }) })
export const fetchGrowth = (machine: string, range: Range, signal: AbortSignal): Promise<{ axes: GrowthSeries[] }> =>
  ask(growthPath(machine, range), { signal })

export const forecastPath = (machine: string, hours: number, plan: string, format?: 'csv'): string =>
  path(machinePath(machine, 'forecast'), { hours, points: 200, plan, ...(format && { format }) })
export const fetchForecast = (machine: string, hours: number, plan: string, signal: AbortSignal): Promise<Forecast> =>
  ask(forecastPath(machine, hours, plan), { signal })

export const verdictsPath = (machine: string, from: number, to: number, format?: 'csv'): string =>
  path(machinePath(machine, 'verdicts'), { from, to, ...(format && { format }) })
export const fetchVerdicts = (
  machine: string,
  from: number,
  to: number,
  signal: AbortSignal,
): Promise<{ verdicts: VerdictChange[] }> => ask(verdictsPath(machine, from, to), { signal })

export const datumsPath = (machine: string, format?: 'csv'): string =>
  path(machinePath(machine, 'datums'), format ? { format } : {})
export const fetchDatums = (machine: string, signal: AbortSignal): Promise<{ datums: Datum[] }> =>
  ask(datumsPath(machine), { signal })

/** Writes. A service that others can reach wants a token for this. */
export const post = <T>(address: string, body: object): Promise<T> => {
  const token = recall('token')
  return ask(address, {
    method: 'POST',
    headers: { 'content-type': 'application/json', ...(token && { authorization: `Bearer ${token}` }) },
    body: JSON.stringify(body),
  })
}

/** The present state of a machine becomes its datum. */
export const postDatum = (machine: string, datum: { by: string; note: string }): Promise<Datum> =>
  post(datumsPath(machine), datum)

/** how a node settles: as configured, as used now, and the last attempt to identify it */
export interface NodeIdentification {
  node: string
  configured: { timeConstant: number | null; uncertainty: number | null }
  inUse: Identification | null
  newest: Identification | null
}
export const identificationsPath = (machine: string, format?: 'csv'): string =>
  path(machinePath(machine, 'identifications'), format ? { format } : {})
export const fetchIdentifications = (machine: string, signal: AbortSignal): Promise<{ nodes: NodeIdentification[] }> =>
  ask(identificationsPath(machine), { signal })

export interface Refusals {
  counts: { reason: string; count: number }[]
  samples: { at: number; topic: string; reason: string; sample: string }[]
}
export interface UnassignedTopics {
  topics: { topic: string; name: string; count: number; at: number; sample: string }[]
  count: number
  beyond: number
}
export const fetchUnassigned = (signal: AbortSignal): Promise<UnassignedTopics> =>
  ask('/api/unassigned-topics', { signal })

export const fetchRefusals = (signal: AbortSignal): Promise<Refusals> => ask('/api/refusals', { signal })
