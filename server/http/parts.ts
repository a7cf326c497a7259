import type { FastifyBaseLogger } from 'fastify'
import type { HeatingAnswer } from '../../core/heating/index.js'
import type { Shop } from '../../core/shop.js'
import type { Actions } from '../actions/index.js'
import type { UnassignedTopics } from '../ingest/unassigned.js'
import type { Monitor } from '../monitor/monitor.js'
import type { Damaged } from '../store/damage.js'
import type { Unclaimed } from '../store/known-shop.js'
import type { Store } from '../store/store.js'
import type { JobAnswers } from '../studies/morning/job-answers.js'
import type { Kept } from '../studies/morning/kept.js'
import type { NightStudy } from '../studies/morning/night.js'
import type { BesideWorker } from '../worker/index.js'

export interface HttpSettings {
  /** the address listened on: what is not loopback needs the token for every write */
  host: string
  /** null: no write without being on this very computer */
  token: string | null
  /** folder of the built pages */
  pages: string
}

/** Everything the HTTP interface stands on. It starts nothing of this and stops nothing of it. */
export interface AppParts {
  /** as it is in force: `monitor.setOffset` changes the offsets of its sensors */
  shop: Shop
  monitor: Monitor
  store: Store
  /** counters since the start, by name */
  ingestStats: () => Record<string, number>
  /** messages received and not yet committed */
  ingestWaiting: () => number
  /** what the broker sends on mapped topics and no sensor of the shop has */
  unassigned: () => UnassignedTopics
  /** ms; readings older than this are not kept */
  keptSince: () => number
  /** folder for recordings that are received; what lies in it at the start is deleted */
  uploads: string
  /** what is damaged, and what nothing in the shop file belongs to */
  storeNotes: () => { damaged: Damaged[]; unclaimed: Unclaimed }
  /** bytes on disk */
  storeBytes: () => number
  /** answers what looks at the past and costs time; without one it is answered here, and everything else waits */
  beside?: Pick<BesideWorker, 'ask'>
  /** what people do: on record and in force */
  actions: Actions
  /** what is answered for the planned jobs of today */
  jobAnswers: JobAnswers
  /** the night that is looked back on */
  night: Pick<Kept<NightStudy>, 'now'>
  /** when the heating must come on for the next shift */
  heating: Pick<Kept<HeatingAnswer>, 'now'>
  settings: HttpSettings
  /** ms since 1970; the monitor's time, which in the demo's filling is not the wall clock's */
  clock: () => number
  version: string
  logger?: FastifyBaseLogger
}
