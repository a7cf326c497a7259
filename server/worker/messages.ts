import type { ReadableStream } from 'node:stream/web'
import type { Identification } from '../../core/settling/index.js'
import type { Shop } from '../../core/shop.js'
import type { ShopModel } from '../../core/shop-model/index.js'

/** What the thread is told once, when it starts. */
export interface ThreadData {
  /** of the service's database */
  folder: string
  /** as the file describes it; offsets and factors in force are looked up for each question */
  shop: Shop
}

/** To the thread. `id` tells one piece of work from another. */
export type ToThread =
  /** a GET of the HTTP interface; `now`, ms, is the service's time */
  | { kind: 'question'; id: number; url: string; now: number }
  /** every time constant that is due, or the model of the shop, from the fortnight up to `now` (ms) */
  | { kind: 'identify' | 'learn'; id: number; now: number }
  /** the shop is another from the next piece of work on */
  | { kind: 'shop'; id: 0; shop: Shop }
  /** nobody waits any more for what is looked for */
  | { kind: 'abandon'; id: number }

/** From the thread. */
export type FromThread =
  /** `failure`: what went wrong, for the log, where the answer tells of a failure of ours */
  | {
      kind: 'head'
      id: number
      status: number
      headers: Record<string, string>
      failure: string | null
      body: ReadableStream<Uint8Array>
    }
  /** a time constant, or the model of the shop */
  | { kind: 'found'; id: number; found: Omit<Identification, 'id'> | ShopModel }
  | { kind: 'end'; id: number }
  | { kind: 'failed'; id: number; why: string; code: string }
