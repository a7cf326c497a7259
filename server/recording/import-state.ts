import type { Readable } from 'node:stream'
import type { RecordingChoices } from '../../core/facts.js'
import type { Signature } from '../../core/quantities.js'
import type { Shop } from '../../core/shop.js'
import type { RecordingState } from '../http/schemas/recording.js'
import type { Store } from '../store/store.js'
import type { Contents } from './contents.js'
import type { Preview } from './look-through.js'

/** bytes of a recording that can be imported; some two million readings */
export const largestRecording = 100 * 1024 * 1024
/** What was done with the readings so far. */
export type Outcome = NonNullable<RecordingState['outcome']>

/** nothing → receiving → reading → ready → importing → imported or stopped; a new recording may follow what is not busy */
export type Stage = RecordingState['stage']

/** As it is told of, with what was read itself. */
export interface ImportState extends Omit<RecordingState, 'part' | 'largest' | 'contents' | 'preview'> {
  /** bytes received, read or imported in this stage; 0 when nothing is under way */
  done: number
  /** null until something was read */
  contents: Contents | null
  /** null until it was read through */
  preview: Preview | null
}

/** why the import job does not do what was asked now */
export class ImportBusy extends Error {}
/** more bytes than `largestRecording` */
export class TooLarge extends Error {}

export interface ImportParts {
  shop: Shop
  store: Pick<Store, 'appendImported' | 'facts' | 'series'>
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
  /**
   * Reads the recording through again as somebody says that it is meant.
   *
   * @throws ImportBusy when there is no such recording
   */
  choose(id: number, choices: RecordingChoices): Promise<ImportState>
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
