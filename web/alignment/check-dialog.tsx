import { useState } from 'preact/hooks'
import { type AlignmentKind, alignmentKind } from '../../core/alignment/index.js'
import type { Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import { machinePath, post } from '../api.js'
import { Button } from '../frame/button.js'
import { fieldMoment } from '../frame/field-moment.js'
import { SelectField, TextField } from '../frame/fields.js'
import { MomentField } from '../frame/moment-field.js'
import { SignedDialog } from '../frame/signed.js'
import { now } from '../live/state.js'
import { units } from '../preferences.js'

interface Row {
  direction: string
  value: string
  reversed: string
}

interface Props {
  machine: Machine
  zone: Zone
  onDone: () => void
  onClose: () => void
}

/** A check of level, squareness or tram, entered by hand. */
export const CheckDialog = ({ machine, zone, onDone, onClose }: Props) => {
  const [kind, setKind] = useState<AlignmentKind>('level')
  const [time, setTime] = useState(fieldMoment(now.peek() ?? Date.now(), zone))
  const [instrument, setInstrument] = useState('')
  const [due, setDue] = useState('')
  const [rows, setRows] = useState<Row[]>(
    machine.axes.slice(0, 2).map(({ id }) => ({ direction: `along ${id}`, value: '', reversed: '' })),
  )
  const set = (index: number, change: Partial<Row>) =>
    setRows(rows.map((row, i) => (i === index ? { ...row, ...change } : row)))
  const example = units.value === 'metric' ? '0.02 mm/m' : '0.0002 in/ft'
  return (
    <SignedDialog
      title={`Check of ${machine.name}`}
      action="Record check"
      busyText="Recording …"
      onSend={async signature => {
        const read = rows.filter(({ value }) => value.trim() !== '')
        await post(machinePath(machine.id, 'alignment'), {
          ...signature,
          kind,
          time,
          instrument,
          ...(due && { due }),
          readings: read.map(({ reversed, ...row }) => ({ ...row, ...(reversed.trim() !== '' && { reversed }) })),
        })
        onDone()
      }}
      onClose={onClose}
    >
      <div class="field-pair">
        <SelectField label="What was checked" value={kind} options={alignmentKind.options} onChange={setKind} />
        <MomentField label="Read at, shop’s time" zone={zone} value={time} onChange={setTime} />
      </div>
      <TextField label="Instrument" required value={instrument} onChange={setInstrument} />
      {rows.map((row, i) => (
        <fieldset key={i} class="field-pair">
          <legend class="hidden">Reading {i + 1}</legend>
          <TextField
            label={`Direction ${i + 1}`}
            required
            value={row.direction}
            onChange={direction => set(i, { direction })}
          />
          <TextField
            label={`Reading ${i + 1}, with unit: ${example}`}
            required={i === 0}
            value={row.value}
            onChange={value => set(i, { value })}
          />
          <TextField
            label={`Reading ${i + 1} turned end for end, if read`}
            value={row.reversed}
            onChange={reversed => set(i, { reversed })}
          />
        </fieldset>
      ))}
      <div class="buttons">
        <Button small onClick={() => setRows([...rows, { direction: '', value: '', reversed: '' }])}>
          Another direction
        </Button>
      </div>
      <TextField label="To be checked again by, if a day is set" type="date" value={due} onChange={setDue} />
    </SignedDialog>
  )
}
