import { createReadStream, createWriteStream } from 'node:fs'
import { mkdtemp, rm, stat } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type Readable, Transform } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { setImmediate as breathe } from 'node:timers/promises'
import type { Shop } from '../../core/shop.js'
import type { Signature } from '../actions/index.js'
import type { Reading } from '../ingest/reading.js'
import type { Store } from '../store/store.js'
import { Account, type RecordedReading } from './account.js'
import { readRecording } from './read.js'
import { sensorLookup } from './sensor-names.js'

/** bytes of a recording that can be imported; some two million readings */
export const largestRecording = 100 * 1024 * 1024

/** What was done with the readings so far. */
export interface Outcome {
  /** stored, new */
  added: number
  /** a reading of the same sensor and time was there before, and stays as it was */
  alreadyThere: number
}

/** nothing → receiving → reading → ready → importing → imported or stopped; a new recording may follow what is not busy */
export type Stage = 'nothing' | 'receiving' | 'reading' | 'ready' | 'importing' | 'imported' | 'stopped'

export interface ImportState {
  /** of the recording; 0 when there is none */
  id: number
  stage: Stage
  /** name of the file, as told */
  name: string
  /** bytes */
  size: number
  /** bytes received, read or imported in this stage; 0 when nothing is under way */
  done: number
  /** null until something was read */
  account: Account | null
  /** null until an import has begun */
  outcome: Outcome | null
  /** why it was stopped, in words; empty otherwise */
  problem: string
  by: string
  /** ms; of the last change of stage */
  at: number
}

/** why the import job does not do what was asked now */
export class ImportBusy extends Error {}
/** more bytes than `largestRecording` */
export class TooLarge extends Error {}

export interface ImportParts {
  shop: Shop
  store: Pick<Store, 'append' | 'facts'>
  clock: () => number
  keptSince: () => number
}

/** Receives recordings, one at a time, shows what is in them, and imports them. */
export interface ImportJob {
  state(): ImportState
  /**
   * Takes in a whole file and reads it through, storing nothing.
   *
   * @throws ImportBusy while another is under way; TooLarge; whatever the stream throws when it breaks off
   */
  receive(bytes: Readable, name: string, size: number): Promise<ImportState>
  /** why the recording of this id cannot be imported now; null when it can */
  refuses(id: number): ImportBusy | null
  /**
   * Begins to import what `receive` has read. Resolves when it is over, however it ends; look at `state` meanwhile.
   *
   * @throws ImportBusy when there is nothing to import, or another recording than the one asked for
   */
  begin(id: number, who: Signature): Promise<ImportState>
  /** stops an import after the group it is at, or forgets the recording */
  discard(): void
  close(): Promise<void>
}

const nothing = (at: number): ImportState => ({
  id: 0,
  stage: 'nothing',
  name: '',
  size: 0,
  done: 0,
  account: null,
  outcome: null,
  problem: '',
  by: '',
  at,
})

const asText = (error: unknown): string => (error instanceof Error ? error.message : String(error))

export const importJob = ({ shop, store, clock, keptSince }: ImportParts): ImportJob => {
  const lookup = sensorLookup(shop.sensors)
  let state = nothing(clock())
  let folder: string | null = null
  let ids = 0
  let discarded = false
  let work: Promise<unknown> = Promise.resolve()

  const fileIn = (where: string) => join(where, 'recording.csv')
  const enter = (stage: Stage, more: Partial<ImportState> = {}) => {
    state = { ...state, stage, at: clock(), done: 0, ...more }
  }
  const forgetFile = async () => {
    const gone = folder
    folder = null
    if (gone) await rm(gone, { recursive: true, force: true })
  }

  const read = (where: string, account: Account) => {
    const bytes = createReadStream(fileIn(where))
    const counted = async function* () {
      for await (const chunk of bytes as AsyncIterable<Buffer>) {
        state = { ...state, done: state.done + chunk.length }
        yield chunk
      }
    }
    return readRecording(counted(), { lookup, zone: shop.timeZone, keptSince, now: clock }, account)
  }

  const toReading = ({ sensor, at, value, receivedAt }: RecordedReading): Reading => ({
    sensor: sensor.id,
    at,
    value,
    receivedAt: receivedAt ?? clock(),
  })

  const receive = async (bytes: Readable): Promise<ImportState> => {
    await forgetFile()
    const where = await mkdtemp(join(tmpdir(), 'quiet-iron-recording-'))
    folder = where
    const counter = new Transform({
      transform(chunk: Buffer, _encoding, next) {
        state = { ...state, done: state.done + chunk.length }
        if (state.done > largestRecording) next(new TooLarge())
        else next(null, chunk)
      },
    })
    await pipeline(bytes, counter, createWriteStream(fileIn(where)))
    const account = new Account()
    enter('reading', { size: (await stat(fileIn(where))).size, account })
    for await (const _group of read(where, account)) if (discarded) throw new Error('it was discarded')
    enter('ready')
    return state
  }

  const take = async (where: string, account: Account, outcome: Outcome): Promise<void> => {
    try {
      for await (const group of read(where, account)) {
        const { length } = store.append(group.map(toReading))
        outcome.added += length
        outcome.alreadyThere += group.length - length
        // live readings come in between
        await breathe()
        if (!discarded) continue
        enter('stopped', { problem: 'It was stopped before its end.' })
        return
      }
      enter('imported')
    } catch (error) {
      enter('stopped', { problem: `It could not be stored to its end: ${asText(error)}` })
    }
  }

  /** imports, with who did it and how it ended on record */
  const run = async (where: string, who: Signature): Promise<void> => {
    const account = new Account()
    const outcome: Outcome = { added: 0, alreadyThere: 0 }
    state = { ...state, account, outcome }
    const file = state.name
    let id: number
    try {
      const [begun] = await store.facts.record('import', [{ at: clock(), ...who, file }])
      id = begun!.id
    } catch (error) {
      enter('stopped', { problem: `It could not be begun: ${asText(error)}` })
      return
    }
    await take(where, account, outcome)
    const { rowsRefused, valuesRefused } = account
    try {
      const { problem } = state
      const ended = { at: clock(), ...outcome, rowsRefused, valuesRefused, problem }
      await store.facts.record('import ended', [{ file, import: id, ...ended }])
    } catch (error) {
      // what was stored is told on the page all the same
      enter(state.stage, { problem: `${state.problem} Its end could not be put on record: ${asText(error)}`.trim() })
    }
  }

  const refuses = (id: number): ImportBusy | null => {
    if (state.stage !== 'ready' || !folder || state.account?.failed)
      return new ImportBusy('There is no recording ready to be imported.')
    return state.id === id ? null : new ImportBusy('Another recording than the one shown is ready to be imported.')
  }

  return {
    state: () => state,
    refuses,
    async receive(bytes, name, size) {
      if (['receiving', 'reading', 'importing'].includes(state.stage))
        throw new ImportBusy('Another recording is being received, read or imported.')
      ids += 1
      discarded = false
      state = { ...nothing(clock()), id: ids, stage: 'receiving', name, size }
      const received = receive(bytes)
      work = received.catch(() => undefined)
      try {
        return await received
      } catch (error) {
        state = nothing(clock())
        await forgetFile()
        throw error
      }
    },
    async begin(id, who) {
      const why = refuses(id)
      if (why || !folder) throw why
      enter('importing', { by: who.by })
      const running = run(folder, who).finally(forgetFile)
      work = running
      await running
      return state
    },
    discard() {
      discarded = true
      if (['receiving', 'reading', 'importing'].includes(state.stage)) return
      state = nothing(clock())
      void forgetFile()
    },
    async close() {
      discarded = true
      await work
      await forgetFile()
    },
  }
}
