import { createReadStream, createWriteStream, rmSync } from 'node:fs'
import { mkdir, mkdtemp, rm, stat } from 'node:fs/promises'
import { join } from 'node:path'
import { type Readable, Transform } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { setImmediate as breathe } from 'node:timers/promises'
import type { Shop } from '../../core/shop.js'
import type { Signature } from '../actions/index.js'
import type { Reading } from '../ingest/reading.js'
import type { Store } from '../store/store.js'
import { Contents, type RecordedReading } from './contents.js'
import { readRecording } from './read.js'
import { sensorLookup } from './sensor-names.js'

/** bytes of a recording that can be imported; some two million readings */
export const largestRecording = 100 * 1024 * 1024
/** received side by side; a slow one keeps nobody waiting */
const mostReceived = 4

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
  contents: Contents | null
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
  /** folder for what is received; of this service alone, for what lies in it at the start is deleted */
  uploads: string
}

/** Receives recordings, and takes them one at a time: shows what is in it, and imports it. */
export interface ImportJob {
  state(): ImportState
  /**
   * Takes in a whole file, and then reads it through, storing nothing. What was there before, and is not being read or
   * imported, stays until the file is whole.
   *
   * @throws ImportBusy while another is being read or imported; TooLarge; whatever the stream throws when it breaks off
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
  contents: null,
  outcome: null,
  problem: '',
  by: '',
  at,
})

const asText = (error: unknown): string => (error instanceof Error ? error.message : String(error))

export const importJob = ({ shop, store, clock, keptSince, uploads }: ImportParts): ImportJob => {
  let state = nothing(clock())
  let folder: string | null = null
  let ids = 0
  let discarded = false
  let work: Promise<unknown> = Promise.resolve()
  /** by id, what is being received */
  const receiving = new Map<number, { done: Promise<unknown>; stop: AbortController }>()
  // of a service that was killed
  rmSync(uploads, { recursive: true, force: true })

  const isBusy = () => state.stage === 'reading' || state.stage === 'importing'
  const busy = () => new ImportBusy('Another recording is being read or imported.')
  const fileIn = (where: string) => join(where, 'recording.csv')
  const enter = (stage: Stage, more: Partial<ImportState> = {}) => {
    state = { ...state, stage, at: clock(), done: 0, ...more }
  }
  const forgetFile = async () => {
    const gone = folder
    folder = null
    if (gone) await rm(gone, { recursive: true, force: true })
  }

  const read = (where: string, contents: Contents) => {
    const bytes = createReadStream(fileIn(where))
    const counted = async function* () {
      for await (const chunk of bytes as AsyncIterable<Buffer>) {
        state = { ...state, done: state.done + chunk.length }
        yield chunk
      }
    }
    const lookup = sensorLookup(shop.sensors)
    return readRecording(counted(), { lookup, zone: shop.timeZone, keptSince, now: clock }, contents)
  }

  const toReading = ({ sensor, at, value, receivedAt }: RecordedReading): Reading => ({
    sensor: sensor.id,
    at,
    value,
    receivedAt: receivedAt ?? clock(),
  })

  /** receives a file into a folder of its own; its state is shown as long as there is no other to be shown */
  const receive = async (bytes: Readable, where: string, own: ImportState, signal: AbortSignal): Promise<void> => {
    let done = 0
    const counter = new Transform({
      transform(chunk: Buffer, _encoding, next) {
        done += chunk.length
        if (state.id === own.id) state = { ...state, done }
        if (done > largestRecording) next(new TooLarge())
        else next(null, chunk)
      },
    })
    await pipeline(bytes, counter, createWriteStream(fileIn(where)), { signal })
  }

  const readThrough = async (where: string, own: ImportState): Promise<ImportState> => {
    discarded = false
    const contents = new Contents()
    state = own
    enter('reading', { contents })
    await forgetFile()
    folder = where
    enter('reading', { size: (await stat(fileIn(where))).size })
    for await (const _group of read(where, contents)) if (discarded) throw new Error('it was discarded')
    enter('ready')
    return state
  }

  const take = async (where: string, contents: Contents, outcome: Outcome): Promise<void> => {
    try {
      for await (const group of read(where, contents)) {
        const { length } = await store.append(group.map(toReading))
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
    const contents = new Contents()
    const outcome: Outcome = { added: 0, alreadyThere: 0 }
    state = { ...state, contents, outcome }
    const file = state.name
    let id: number
    try {
      const [begun] = await store.facts.record('import', [{ at: clock(), ...who, file }])
      id = begun!.id
    } catch (error) {
      enter('stopped', { problem: `It could not be begun: ${asText(error)}` })
      return
    }
    await take(where, contents, outcome)
    const { rowsRefused, valuesRefused } = contents
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
    if (state.stage !== 'ready' || !folder || state.contents?.failed)
      return new ImportBusy('There is no recording ready to be imported.')
    return state.id === id ? null : new ImportBusy('Another recording than the one shown is ready to be imported.')
  }

  return {
    state: () => state,
    refuses,
    async receive(bytes, name, size) {
      if (isBusy()) throw busy()
      if (receiving.size >= mostReceived) throw new ImportBusy(`${mostReceived} recordings are being received already.`)
      ids += 1
      const own: ImportState = { ...nothing(clock()), id: ids, stage: 'receiving', name, size }
      if (state.stage !== 'ready') state = own
      const stop = new AbortController()
      let where: string | undefined
      const whole = async () => {
        await mkdir(uploads, { recursive: true, mode: 0o700 })
        where = await mkdtemp(join(uploads, 'recording-'))
        await receive(bytes, where, own, stop.signal)
      }
      const received = whole()
      receiving.set(own.id, { done: received.catch(() => undefined), stop })
      try {
        await received
        receiving.delete(own.id)
        if (isBusy()) throw busy()
        const through = readThrough(where!, own)
        work = through.catch(() => undefined)
        return await through
      } catch (error) {
        receiving.delete(own.id)
        if (state.id === own.id) state = nothing(clock())
        if (folder === where) folder = null
        if (where) await rm(where, { recursive: true, force: true })
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
      if (isBusy()) return
      receiving.get(state.id)?.stop.abort(new Error('it was discarded'))
      state = nothing(clock())
      void forgetFile()
    },
    async close() {
      discarded = true
      for (const { stop } of receiving.values()) stop.abort(new Error('the service stops'))
      await Promise.all([...receiving.values()].map(({ done }) => done))
      await work
      await forgetFile()
    },
  }
}
