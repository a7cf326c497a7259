import type { Signature } from '../../core/quantities.js'
import type { Store } from '../store/store.js'
import { nextTurn } from '../turns.js'

type Parts = Pick<Store, 'facts' | 'noted' | 'takeBackSome'>

/** Takes whole imports back: a fact says so first, and then the readings they added go, slice by slice. */
interface TakingBack {
  /** one is under way */
  readonly busy: boolean
  /**
   * Why an import cannot be taken back; null when it can.
   *
   * @param keptSince ms; of what is older only summaries are left, which cannot be told apart any more
   */
  refuses(imported: number, keptSince: number): Promise<string | null>
  /** @returns when the fact is recorded; the readings go after that */
  begin(imported: { id: number; file: string; end: number }, who: Signature): Promise<void>
  /** goes on with what was under way when the service ended */
  resume(): Promise<void>
  close(): Promise<void>
}

/** @param failed is told when readings cannot be taken out; the next start goes on with it */
export const takingBack = (store: Parts, clock: () => number, failed: (error: unknown) => void): TakingBack => {
  let under: Promise<void> | null = null
  let closing = false

  const takeOut = (imported: number): void => {
    const work = async () => {
      try {
        while (!closing && (await store.takeBackSome(imported))) await nextTurn()
      } catch (error) {
        failed(error)
      }
    }
    const before = under ?? Promise.resolve()
    const own = before.then(work).then(() => {
      if (under === own) under = null
    })
    under = own
  }

  return {
    get busy() {
      return under !== null
    },
    async refuses(imported, keptSince) {
      const noted = await store.noted(imported)
      if (!noted)
        return 'It is not noted which readings it added: it added none, or was imported by an earlier version.'
      if (noted.first < keptSince)
        return 'Some of its readings are so old that only summaries of them are kept, which cannot be told apart any more.'
      return null
    },
    async begin({ id, file, end }, who) {
      await store.facts.record('import taken back', [{ at: clock(), ...who, file, import: id, end }])
      takeOut(id)
    },
    async resume() {
      for (const { import: id } of await store.facts.of('import taken back')) if (await store.noted(id)) takeOut(id)
    },
    async close() {
      closing = true
      await under
    },
  }
}
