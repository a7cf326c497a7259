import { createHash } from 'node:crypto'
import { IANAZone } from 'luxon'
import { type RecordingChoices, recordingChoices } from '../../core/facts.js'
import type { Sensor, Shop } from '../../core/shop.js'
import type { Store } from '../store/store.js'
import { NotALine, timeReader } from '../table/index.js'
import { Turn } from '../turns.js'
import { ClockComparison, type ClockOffset, changesOf, offsetText } from './clock-offset.js'
import { Contents, type ErrorCode } from './contents.js'
import { Contradictions } from './contradictions.js'
import { readRecording } from './read.js'
import { codeKey, type ReadingOptions } from './rows.js'
import { type Survey, surveyRecording } from './survey.js'

export const noChoices: RecordingChoices = recordingChoices.parse({})

/** What was found out about a recording that is to be imported. */
export interface Preview {
  contents: Contents
  /** said now, or remembered of the last one of its kind */
  choices: RecordingChoices
  /** who said it of an earlier recording with the same headings, and when (ms); null: nobody did */
  remembered: { by: string; at: number } | null
  codes: readonly ErrorCode[]
  contradictions: Contradictions
  clockOffset: ClockOffset | null
  /** how it is read when it is imported */
  reading: Pick<ReadingOptions, 'choices' | 'leaveOut'> & { survey?: Survey }
}

/** what recordings of one kind have in common */
export const kindOf = (headings: readonly string[]): string =>
  createHash('sha256').update(headings.join('\u001f')).digest('hex')

/** whether a time of the file is the shop's because it has no zone of its own */
const isLocal = ({ headings, samples }: Contents): boolean => {
  const time = headings?.layout?.time
  const read = time && samples[0] ? timeReader({ ...time, zone: null })(samples[0].time, null) : null
  return read !== null && 'kind' in read
}

/** where rows lie in the hour that clocks leave out, the clock that recorded them was not put forward */
const fromFaults = (contents: Contents, zone: string): ClockOffset | null => {
  if (!contents.faults.counts().some(({ kind }) => kind === 'time that does not exist')) return null
  const day = 86_400_000
  const [change] = changesOf(zone, contents.from - day, contents.to + day)
  const [part] = contents.sensors.values()
  if (change === undefined || !part) return null
  return {
    offset: offsetText(IANAZone.create(zone).offset(change - day)),
    from: change,
    sensor: part.sensor.id,
    with: '',
  }
}

/**
 * Reads a recording through, storing nothing.
 *
 * @param choices what somebody says of it; null: as it was said of the last one with the same headings
 * @param onContents what is found, from the beginning of each pass on
 * @throws whatever `stopped` throws, which is called again and again
 */
export const lookThrough = async (
  open: () => AsyncIterable<Uint8Array>,
  { shop, store, ...options }: { shop: Shop; store: Pick<Store, 'facts' | 'series'> } & ReadingOptions,
  choices: RecordingChoices | null,
  onContents: (contents: Contents) => void,
  stopped: () => void,
): Promise<Preview> => {
  const survey = async (said: RecordingChoices): Promise<Survey | undefined> => {
    try {
      return await surveyRecording(open(), {
        lookup: options.lookup,
        choices: said,
        now: options.now?.() ?? Number.POSITIVE_INFINITY,
      })
    } catch (error) {
      // what is wrong is said when it is read
      if (error instanceof NotALine) return undefined
      throw error
    }
  }
  const looked = await survey(choices ?? noChoices)
  const known = looked
    ? (await store.facts.of('recording kind', { subject: kindOf(looked.headings) })).at(-1)
    : undefined
  const said = choices ?? known?.choices ?? noChoices
  const found = choices || !known ? looked : await survey(said)
  const reading = (leaveOut: ReadonlySet<string>): Preview['reading'] => ({
    choices: said,
    leaveOut,
    ...(found && { survey: found }),
  })

  const pass = async (leaveOut: ReadonlySet<string>, repeating: ReadonlySet<Sensor>) => {
    const contents = new Contents()
    onContents(contents)
    const contradictions = new Contradictions(store, repeating)
    const clocks = new ClockComparison()
    const turn = new Turn()
    for await (const group of readRecording(open, { ...options, ...reading(leaveOut) }, contents)) {
      stopped()
      for (const one of group) {
        if (turn.isOver) await turn.next()
        const asked = contradictions.take(one)
        if (asked) await asked
        clocks.take(one)
      }
    }
    return { contents, contradictions, clocks }
  }

  const first = await pass(new Set(), new Set())
  const codes = first.contents.errorCodes()
  const leaveOut = new Set(said.keepCodes ? [] : codes.map(({ sensor, code }) => codeKey(sensor.id, code)))
  const repeating = new Set([...first.contents.sensors.values()].filter(part => !part.rising).map(part => part.sensor))
  const last = leaveOut.size + repeating.size > 0 ? await pass(leaveOut, repeating) : first
  const { contents, contradictions, clocks } = last
  const zone = shop.timeZone
  const clockOffset =
    said.offset === null && isLocal(contents)
      ? ((await clocks.offset(store, shop.sensors, zone)) ?? fromFaults(contents, zone))
      : null
  const remembered = known ? { by: known.by, at: known.at } : null
  return { contents, choices: said, remembered, codes, contradictions, clockOffset, reading: reading(leaveOut) }
}
