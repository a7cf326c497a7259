import type { Series, ShopAnswer, ShownVerdict } from '../server/http/schemas/answers.js'
import type { Refusal } from '../server/http/schemas/refusal.js'
import { recall, units } from './preferences.js'

/** The service's answers to questions, beside the live stream. Every function throws an Error whose message can be shown. */

export const path = (address: string, search: Record<string, string | number> = {}): string => {
  const query = new URLSearchParams(Object.entries(search).map(([key, value]) => [key, String(value)]))
  return query.size === 0 ? address : `${address}?${query}`
}

export class Refused extends Error {
  readonly status: number
  /** which part of the request is refused; empty where that was not said */
  readonly where: string
  constructor(message: string, status: number, where = '') {
    super(message)
    this.status = status
    this.where = where
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
    throw new Refused(
      said || `The service answered ${response.status} ${response.statusText}.`,
      response.status,
      body?.error?.where,
    )
  }
  return (await response.json()) as T
}

export const fetchShop = (): Promise<ShopAnswer> => ask('/api/shop')

/** a table is in the units of the page */
const sentences = (format?: 'csv'): Record<string, string> => (format ? { format, units: units.value } : {})
export const sensorsPath = (format?: 'csv'): string => path('/api/sensors', sentences(format))

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

export const machinePath = (machine: string, rest: string): string =>
  `/api/machines/${encodeURIComponent(machine)}/${rest}`
export const growthPath = (machine: string, range: Range, format?: 'csv'): string =>
  path(machinePath(machine, 'growth'), { ...range, ...(format && { format }) })

export const temperaturesPath = (machine: string, range: Range, format?: 'csv'): string =>
  path(machinePath(machine, 'temperatures'), { ...range, ...(format && { format }) })

export const forecastPath = (machine: string, hours: number, plan: string, format?: 'csv'): string =>
  path(machinePath(machine, 'forecast'), { hours, points: 200, plan, ...(format && { format }) })

export const verdictsPath = (machine: string, from: number, to: number, format?: 'csv'): string =>
  path(machinePath(machine, 'verdicts'), { from, to, ...sentences(format) })
export const fetchVerdicts = (
  machine: string,
  from: number,
  to: number,
  signal: AbortSignal,
): Promise<{ verdicts: ShownVerdict[] }> => ask(verdictsPath(machine, from, to), { signal })

export const datumsPath = (machine: string, format?: 'csv'): string =>
  path(machinePath(machine, 'datums'), format ? { format } : {})

/** Writes. A service that others can reach wants a token for this. */
export const post = <T>(address: string, body: object, method: 'POST' | 'PUT' = 'POST'): Promise<T> => {
  const token = recall('token')
  return ask(address, {
    method,
    headers: { 'content-type': 'application/json', ...(token && { authorization: `Bearer ${token}` }) },
    body: JSON.stringify(body),
  })
}

/** A table as a file: the browser reads it while it sends, so its size does not matter here. */
export const send = <T>(address: string, table: Blob): Promise<T> => {
  const token = recall('token')
  return ask<T>(address, {
    method: 'POST',
    headers: { 'content-type': 'text/csv', ...(token && { authorization: `Bearer ${token}` }) },
    body: table,
  })
}

export const identificationsPath = (machine: string, format?: 'csv'): string =>
  path(machinePath(machine, 'identifications'), format ? { format } : {})
