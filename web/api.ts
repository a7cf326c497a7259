import type { ShopAnswer } from '../server/http/schemas/answers.js'
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

export interface Range {
  from: number
  to: number
  points: number
}

/** @param rest of the address, below that of the machine */
export const machinePath = (machine: string, rest: string, search: Record<string, string | number> = {}): string =>
  path(`/api/machines/${encodeURIComponent(machine)}/${rest}`, search)

/** The address of the same answer as a table. */
export const asCsv = (address: string): string => `${address}${address.includes('?') ? '&' : '?'}format=csv`

/** The same where sentences stand in it: they are in the units of the page. */
export const asCsvInUnits = (address: string): string => `${asCsv(address)}&units=${units.value}`

/** A service that others can reach wants a token for every write. */
const authorization = (): Record<string, string> => {
  const token = recall('token')
  return token ? { authorization: `Bearer ${token}` } : {}
}

export const post = <T>(address: string, body: object, method: 'POST' | 'PUT' = 'POST'): Promise<T> =>
  ask(address, {
    method,
    headers: { 'content-type': 'application/json', ...authorization() },
    body: JSON.stringify(body),
  })

/** A table as a file: the browser reads it while it sends, so its size does not matter here. */
export const send = <T>(address: string, table: Blob): Promise<T> =>
  ask(address, { method: 'POST', headers: { 'content-type': 'text/csv', ...authorization() }, body: table })

export const discard = <T>(address: string): Promise<T> => ask(address, { method: 'DELETE', headers: authorization() })
