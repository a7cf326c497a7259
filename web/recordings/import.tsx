import { useState } from 'preact/hooks'
import type { RecordingChoices } from '../../core/facts.js'
import type { Zone } from '../../core/format.js'
import type { Sensor } from '../../core/shop.js'
import type { RecordingState } from '../../server/http/schemas/recording.js'
import { useAnswer } from '../answer.js'
import { ask, discard, post } from '../api.js'
import { Button } from '../frame/button.js'
import { Card, CardTitle } from '../frame/card.js'
import { Done, Problem } from '../frame/problem.js'
import { SignedDialog } from '../frame/signed.js'
import { units } from '../preferences.js'
import { counted } from '../words.js'
import { Choices } from './choices.js'
import { ChooseFile } from './choose-file.js'
import { Contents, Totals } from './contents.js'
import { Imported } from './imported.js'

/** ms between looks: while something is under way, and while another may begin */
const often = 500
const seldom = 5000

const doing: Partial<Record<RecordingState['stage'], string>> = {
  receiving: 'Receiving',
  reading: 'Looking through',
  importing: 'Importing',
}

const leftOut = ({ rowsRefused, valuesRefused }: NonNullable<RecordingState['contents']>): string => {
  if (rowsRefused + valuesRefused === 0) return 'nothing was left out'
  const rows = counted(rowsRefused, 'row')
  return `${valuesRefused > 0 ? `${rows} and ${counted(valuesRefused, 'single value')}` : rows} left out`
}

const Progress = ({ recording: { stage, part, name, outcome } }: { recording: RecordingState }) => (
  <div class="recording-progress">
    <p>
      {doing[stage]} {name || 'the recording'}: {Math.floor(100 * (part ?? 0))} %
      {outcome && `, ${outcome.added} readings added`}
    </p>
    <progress max={1} value={part ?? 0} aria-label={`${doing[stage]} ${name || 'the recording'}`} />
  </div>
)

/** how it ended, in one sentence; empty while it has not */
const ending = ({ stage, name, contents, outcome, problem, by }: RecordingState): string => {
  if (!outcome || !contents || (stage !== 'imported' && stage !== 'stopped')) return ''
  const counts =
    `${counted(outcome.added, 'reading')} added, ${outcome.alreadyThere} were there before and stay as they were, ` +
    `${leftOut(contents)}.`
  if (stage === 'imported') return `${name || 'The recording'} was imported by ${by}: ${counts}`
  return `${name || 'The recording'} was not imported to its end. ${problem} Until then: ${counts} Send the same file again for the rest: what is there is not stored twice.`
}

const Found = ({
  recording,
  sensors,
  zone,
  again,
}: {
  recording: RecordingState
  sensors: readonly Sensor[]
  zone: Zone
  again: () => void
}) => {
  const [open, setOpen] = useState(false)
  const [problem, setProblem] = useState('')
  const [unread, setUnread] = useState(false)
  const { contents, preview, stage, id, name } = recording
  if (!contents) return null
  const usable = contents.readable && contents.readings > 0 && contents.datesUnclear === ''
  const done = async (what: () => Promise<unknown>) => {
    try {
      await what()
      setProblem('')
      again()
    } catch (error) {
      setProblem(error instanceof Error ? error.message : String(error))
    }
  }
  return (
    <section class="panel" aria-labelledby="found">
      <CardTitle id="found" text={`What is in ${name || 'the recording'}`} about="recordings#what-a-file-may-look-like">
        <div class="fields is-close">
          {stage === 'ready' && usable && (
            <Button
              main
              disabled={unread}
              title={unread ? 'What its columns are was changed: read it so first' : undefined}
              onClick={() => setOpen(true)}
            >
              Import {counted(contents.readings, 'reading')} …
            </Button>
          )}
          <Button onClick={() => void done(() => discard('/api/recording'))}>
            {stage in doing ? 'Stop' : stage === 'ready' ? 'Forget it' : 'Close'}
          </Button>
        </div>
      </CardTitle>
      <Problem text={problem} />
      {stage === 'ready' && !usable && contents.datesUnclear === '' && (
        <p class="problem" role="alert">
          {contents.readable ? 'Nothing in this file can be imported' : 'This file cannot be read'}; nothing was stored.
          See below what is wrong in it; say what its columns are, or mend it and choose it again.
        </p>
      )}
      <Totals contents={contents} zone={zone} />
      {stage === 'ready' && preview && (
        <Choices
          {...{ recording, preview, contents, sensors, system: units.value, zone }}
          onUnread={setUnread}
          onChoose={(choices: RecordingChoices) => void done(() => post('/api/recording/choices', { id, choices }))}
        />
      )}
      <Contents contents={contents} zone={zone} />
      {open && (
        <SignedDialog
          title={`Import ${name || 'the recording'}`}
          noteLabel="Note: where it comes from"
          action={`Import ${counted(contents.readings, 'reading')}`}
          busyText="Beginning …"
          onSend={async signature => {
            await post('/api/recording/import', { id, ...signature })
            again()
          }}
          onClose={() => setOpen(false)}
        >
          <p>
            {counted(contents.readings, 'reading')} of {counted(contents.sensors.length, 'sensor')} are stored beside
            those that came live; {leftOut(contents)}. A reading that is there already stays as it is. The whole import
            can be taken back afterwards.
          </p>
        </SignedDialog>
      )}
    </section>
  )
}

/** A file, what is in it, and how far its import is. */
export const Import = ({ sensors, zone }: { sensors: readonly Sensor[]; zone: Zone }) => {
  const [busy, setBusy] = useState(false)
  const { value, problem, again } = useAnswer(
    async signal => {
      const recording = await ask<RecordingState>('/api/recording', { signal })
      setBusy(recording.stage in doing)
      return recording
    },
    'recording',
    busy ? often : seldom,
  )
  const ended = value ? ending(value) : ''
  return (
    <>
      <Card id="import" text="Import a recording" about="recordings#what-a-file-may-look-like">
        <p class="quiet">
          A logger’s or another system’s readings, as history for charts and investigation. The first line holds
          headings: <code>time,sensor,value (°C)</code> with a row for each reading, or <code>time</code> and a column
          for each sensor, headed by its id, name or topic: <code>X screw (°F)</code>. Times without a zone are the
          shop’s. It is looked through first; nothing is stored until you say so.
        </p>
        <Problem text={problem} />
        {value && <ChooseFile largest={value.largest} busy={busy} onSent={again} />}
        {value && busy && <Progress recording={value} />}
        <Done text={ended} />
        {value?.stage === 'nothing' && <p class="empty">No recording has been chosen yet.</p>}
      </Card>
      {value && <Found recording={value} sensors={sensors} zone={zone} again={again} />}
      <Imported about={value ? `${value.id} ${value.stage}` : ''} running={value?.stage === 'importing'} zone={zone} />
    </>
  )
}
