import { useState } from 'preact/hooks'
import { formatMoment } from '../../core/format.js'
import type { WorkChange } from '../../core/happened/index.js'
import { type Reader, sayWorkChange } from '../../core/sentences/index.js'
import type { Machine, Shop } from '../../core/shop.js'
import { machinePath, post } from '../api.js'
import { Button } from '../frame/button.js'
import { fieldMoment } from '../frame/field-moment.js'
import { SelectField, TextField } from '../frame/fields.js'
import { SignedDialog, TakeBackDialog } from '../frame/signed.js'
import { now } from '../live/state.js'

const kinds: Record<WorkChange['kind'], { label: string; what: string; example: string }> = {
  tool: { label: 'a tool was changed', what: 'Which tool', example: 'T12, new insert' },
  offset: { label: 'an offset was changed', what: 'Which offset', example: 'wear offset of T12' },
  'set-up': { label: 'the job was set up anew', what: 'Which set-up', example: 'vice 2' },
  shift: { label: 'a shift began', what: 'Whose shift', example: 'early shift' },
}
const workChangeKinds = Object.keys(kinds) as WorkChange['kind'][]

const EnterChange = ({
  machine,
  shop,
  at,
  onDone,
  onClose,
}: {
  machine: Machine
  shop: Shop
  /** ms; what the field of the time begins with */
  at: number
  onDone: () => void
  onClose: () => void
}) => {
  const [kind, setKind] = useState<WorkChange['kind']>('tool')
  const [what, setWhat] = useState('')
  const [time, setTime] = useState(fieldMoment(at, shop))
  const [axis, setAxis] = useState('')
  const [larger, setLarger] = useState('')
  const field = (label: string, value: string, set: (text: string) => void, example = '', required = false) => (
    <TextField {...{ label, value, required }} placeholder={example} maxLength={200} onChange={set} />
  )
  return (
    <SignedDialog
      title={`What was changed at ${machine.name}`}
      action="Enter it"
      onSend={async signature => {
        await post(machinePath(machine.id, 'work-changes'), {
          ...{ ...signature, kind, time, what },
          ...(kind === 'offset' && { larger, ...(axis && { axis }) }),
        })
        onDone()
      }}
      onClose={onClose}
    >
      <SelectField
        label="At this moment"
        value={kind}
        options={workChangeKinds.map(value => ({ value, text: kinds[value].label }))}
        onChange={setKind}
      />
      {field('When, as 2026-01-14 09:30', time, setTime, '', true)}
      {field(kinds[kind].what, what, setWhat, kinds[kind].example)}
      {kind === 'offset' && (
        <>
          {field('Parts became larger by, with its unit; smaller: −5 µm', larger, setLarger, '5 µm', true)}
          <SelectField
            label="Sizes along"
            value={axis}
            options={[{ value: '', text: 'all axes' }, ...machine.axes.map(({ id }) => id)]}
            onChange={setAxis}
          />
        </>
      )}
    </SignedDialog>
  )
}

/** What the shop changed at a machine in a stretch: entered here, and taken back. */
export const WorkChanges = ({
  machine,
  shop,
  changes,
  at,
  reader,
  onChange,
}: {
  machine: Machine
  shop: Shop
  changes: readonly WorkChange[]
  /** ms; of the stretch that is looked at */
  at: number
  reader: Reader
  onChange: () => void
}) => {
  const [entering, setEntering] = useState(false)
  const [back, setBack] = useState<WorkChange | null>(null)
  const latest = now.peek() ?? Date.now()
  return (
    <div class="work-changes screen-only">
      <p class="quiet">
        A new tool, another offset, a new set-up or another shift can move sizes as heat does. Enter what was changed:
        it is drawn, and taken into account.
      </p>
      <p>
        <Button onClick={() => setEntering(true)}>Enter a change …</Button>
      </p>
      {changes.length > 0 && (
        <ul class="plain-list">
          {changes.map(change => (
            <li key={change.id}>
              {formatMoment(change.at, latest, shop)}: {sayWorkChange(change, reader)} ({change.by}){' '}
              <Button small aria-label={`Take back: ${sayWorkChange(change, reader)}`} onClick={() => setBack(change)}>
                Take back …
              </Button>
            </li>
          ))}
        </ul>
      )}
      {entering && (
        <EnterChange
          machine={machine}
          shop={shop}
          at={Math.min(at, latest)}
          onDone={onChange}
          onClose={() => setEntering(false)}
        />
      )}
      {back && (
        <TakeBackDialog
          title="Take it back"
          action="Take it back"
          address={machinePath(machine.id, `work-changes/${back.id}`)}
          onDone={onChange}
          onClose={() => setBack(null)}
        >
          <p>{sayWorkChange(back, reader)}: it no longer counts. That it was entered stays on record.</p>
        </TakeBackDialog>
      )}
    </div>
  )
}
