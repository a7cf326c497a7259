import { useState } from 'preact/hooks'
import { formatDateTime, formatTemperature, notKnown, type Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { Datum } from '../../core/state.js'
import { clockOf } from '../../core/written-time.js'
import { useAddress } from '../answer.js'
import { asCsv, machinePath, post } from '../api.js'
import { Button } from '../frame/button.js'
import { Card, CardTitle } from '../frame/card.js'
import { CsvLink } from '../frame/csv-link.js'
import { ClockField } from '../frame/moment-field.js'
import { Problem } from '../frame/problem.js'
import { SignedDialog } from '../frame/signed.js'
import { Choice } from '../frame/switches.js'
import { type NumberColumn, Table } from '../frame/table.js'
import { units } from '../preferences.js'

interface DialogProps {
  machine: Machine
  zone: Zone
  onDone: (datum: Datum) => void
  onClose: () => void
}

const zeroings = { 'first part': 'First part measured', 'one place': 'Zero at one place' } as const
type Zeroing = keyof typeof zeroings

const DatumDialog = ({ machine, zone, onDone, onClose }: DialogProps) => {
  const [zeroed, setZeroed] = useState<Zeroing>('first part')
  const [time, setTime] = useState('')
  return (
    <SignedDialog
      title={`Set datum of ${machine.name}`}
      noteLabel="Note: what was zeroed, probed or proved"
      action="Set datum"
      busyText="Setting …"
      onSend={async signature =>
        onDone(
          await post<Datum>(machinePath(machine.id, 'datums'), {
            ...signature,
            zeroed,
            ...(time.trim() && { time: clockOf(time) ?? time }),
          }),
        )
      }
      onClose={onClose}
    >
      <p>
        The machine’s temperatures become the state that drift counts from. A datum stays on record; a later one takes
        its place.
      </p>
      <Choice
        legend="What was zeroed"
        value={zeroed}
        options={(Object.keys(zeroings) as Zeroing[]).map(value => ({ value, text: zeroings[value] }))}
        onChange={setZeroed}
      />
      <p class="quiet">
        {zeroed === 'first part'
          ? 'A part was measured and its size corrected: what it was off then no longer counts.'
          : 'Touched off or probed: the drift until then no longer counts. What a warm screw or scale does over a length stays.'}
      </p>
      <ClockField label="When, if it was earlier within the last day" zone={zone} value={time} onChange={setTime} />
    </SignedDialog>
  )
}

/** of a datum from before it was asked, nothing is known */
const zeroedWords = ({ firstPart }: Datum): string =>
  firstPart === undefined ? notKnown : zeroings[firstPart ? 'first part' : 'one place']

interface Props {
  machine: Machine
  current: Datum | null
  zone: Zone
}

/** The machine's present datum, and the way to set a new one. */
export const DatumBar = ({ machine, current, zone }: Props) => {
  const [open, setOpen] = useState(false)
  const [done, setDone] = useState<Datum | null>(null)
  return (
    <Card class="datum-bar" id="datum" text="Datum" about="pages#the-datum">
      <p class={current ? '' : 'quiet'}>
        {current ? (
          <>
            Drift counts from <strong>{formatDateTime(current.at, zone)}</strong>
            {current.firstPart !== undefined && ` (${zeroedWords(current).toLowerCase()})`}, set by {current.by}
            {current.note && `: ${current.note}`}
          </>
        ) : (
          'None yet. Set one when the machine has been zeroed or probed, or its first part proved.'
        )}
      </p>
      <p role="status" class={done ? '' : 'hidden'}>
        {done && <strong>Datum set at {formatDateTime(done.at, zone)}.</strong>}
      </p>
      <div class="buttons">
        <Button onClick={() => setOpen(true)}>Set datum …</Button>
      </div>
      {open && <DatumDialog machine={machine} zone={zone} onDone={setDone} onClose={() => setOpen(false)} />}
    </Card>
  )
}

/** All datums that were set, with the machine's temperatures at each. */
export const DatumList = ({ machine, current, zone }: Props) => {
  const system = units.value
  const address = machinePath(machine.id, 'datums')
  const { value, problem } = useAddress<{ datums: Datum[] }>(address, null, String(current?.id))
  const datums = [...(value?.datums ?? [])].sort((a, b) => b.at - a.at)
  return (
    <section class="panel" aria-labelledby="datums">
      <CardTitle id="datums" text="Datums" about="pages#the-datum">
        <p>
          <CsvLink href={asCsv(address)} name="datums" about="Datums as CSV" />
        </p>
      </CardTitle>
      <Problem text={problem} />
      {value && datums.length === 0 && <p class="empty">No datum has been set yet.</p>}
      {datums.length > 0 && (
        <Table
          caption="Datums set, newest first"
          rows={datums}
          keyOf={({ id }) => id}
          columns={[
            { head: 'Time', form: 'nowrap', cell: ({ at }) => formatDateTime(at, zone) },
            { head: 'Who', cell: ({ by }) => by },
            { head: 'Zeroed', cell: zeroedWords },
            { head: 'Note', cell: ({ note }) => note || notKnown },
            ['Part', ({ part }) => formatTemperature(part ?? null, system)],
            ...machine.nodes.map(
              (node): NumberColumn<Datum> => [
                node.name,
                ({ temperatures }) => formatTemperature(temperatures[node.id] ?? null, system),
              ],
            ),
          ]}
        />
      )}
    </section>
  )
}
