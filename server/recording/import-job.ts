import { createReadStream, createWriteStream, rmSync } from 'node:fs'
import { mkdir, mkdtemp, rm, stat } from 'node:fs/promises'
import { join } from 'node:path'
import { type Readable, Transform } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import type { RecordingChoices } from '../../core/facts.js'
import type { Signature } from '../../core/quantities.js'
import type { Reading } from '../ingest/reading.js'
import { nextTurn } from '../turns.js'
import { Contents, type RecordedReading } from './contents.js'
import {
  ImportBusy,
  type ImportJob,
  type ImportParts,
  type ImportState,
  largestRecording,
  type Outcome,
  type Stage,
  TooLarge,
} from './import-state.js'
import { kindOf, lookThrough, noChoices } from './look-through.js'
import { readRecording } from './read.js'
import { sensorLookup } from './sensor-names.js'

/** received side by side; a slow one keeps nobody waiting */
const mostReceived = 4

const nothing = (at: number): ImportState => ({
  id: 0,
  stage: 'nothing',
  name: '',
  size: 0,
  done: 0,
  contents: null,
  preview: null,
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

  // the sensors of the shop may change while it runs
  const options = () => ({ lookup: sensorLookup(shop.sensors), zone: shop.timeZone, keptSince, now: clock })
  /** the bytes of the file from the beginning; how far they are read is shown */
  const open = async function* (where: string) {
    state = { ...state, done: 0 }
    for await (const chunk of createReadStream(fileIn(where)) as AsyncIterable<Buffer>) {
      state = { ...state, done: state.done + chunk.length }
      yield chunk
    }
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

  /** @param choices null: as remembered of the last one of its kind */
  const readThrough = async (where: string, own: ImportState, choices: RecordingChoices | null) => {
    discarded = false
    state = own
    enter('reading', { contents: new Contents(), size: (await stat(fileIn(where))).size })
    if (folder !== where) await forgetFile()
    folder = where
    const preview = await lookThrough(
      () => open(where),
      { shop, store, ...options() },
      choices,
      contents => {
        state = { ...state, contents }
      },
      () => {
        if (discarded) throw new Error('it was discarded')
      },
    )
    enter('ready', { contents: preview.contents, preview })
    return state
  }

  const take = async (where: string, id: number, contents: Contents, outcome: Outcome): Promise<void> => {
    try {
      const reading = { ...options(), ...state.preview?.reading }
      for await (const group of readRecording(() => open(where), reading, contents)) {
        const { length } = await store.appendImported(id, group.map(toReading))
        outcome.added += length
        outcome.alreadyThere += group.length - length
        // live readings come in between
        await nextTurn()
        if (!discarded) continue
        enter('stopped', { problem: 'It was stopped before its end.' })
        return
      }
      enter('imported')
    } catch (error) {
      enter('stopped', { problem: `It could not be stored to its end: ${asText(error)}` })
    }
  }

  /** keeps what somebody said of the file, for the next one of its kind */
  const remember = async (who: Signature): Promise<void> => {
    const { preview } = state
    const headings = preview?.reading.survey?.headings
    if (!preview || !headings || JSON.stringify(preview.choices) === JSON.stringify(noChoices)) return
    await store.facts.record('recording kind', [
      { at: clock(), ...who, headings: kindOf(headings), choices: preview.choices },
    ])
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
      await remember(who)
    } catch (error) {
      enter('stopped', { problem: `It could not be begun: ${asText(error)}` })
      return
    }
    await take(where, id, contents, outcome)
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
    if (state.contents?.datesUnclear) return new ImportBusy('Nobody has said yet in which order its dates are written.')
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
        const through = readThrough(where!, own, null)
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
    async choose(id, choices) {
      if (state.stage !== 'ready' || !folder || state.id !== id)
        throw new ImportBusy('The recording shown is not there any more.')
      const where = folder
      const through = readThrough(where, state, choices)
      work = through.catch(() => undefined)
      try {
        return await through
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
