import { useState } from 'preact/hooks'
import { type AlignmentKind, alignmentKind } from '../../core/alignment/index.js'
import type { Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import { machinePath, post } from '../api.js'
import { fieldMoment } from '../frame/field-moment.js'
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
      id="check-dialog"
      title={`Check of ${machine.name}`}
      noteLabel="Note"
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
        <label class="field">
          <span>What was checked</span>
          <select value={kind} onChange={event => setKind(event.currentTarget.value as AlignmentKind)}>
            {alignmentKind.options.map(each => (
              <option key={each} value={each}>
                {each}
              </option>
            ))}
          </select>
        </label>
        <MomentField label="Read at, shop’s time" zone={zone} value={time} onChange={setTime} />
      </div>
      <label class="field">
        <span>Instrument</span>
        <input required value={instrument} onInput={event => setInstrument(event.currentTarget.value)} />
      </label>
      {rows.map((row, i) => (
        <fieldset key={i} class="field-pair">
          <legend class="hidden">Reading {i + 1}</legend>
          <label class="field">
            <span>Direction {i + 1}</span>
            <input required value={row.direction} onInput={event => set(i, { direction: event.currentTarget.value })} />
          </label>
          <label class="field">
            <span>
              Reading {i + 1}, with unit: {example}
            </span>
            <input
              required={i === 0}
              value={row.value}
              onInput={event => set(i, { value: event.currentTarget.value })}
            />
          </label>
          <label class="field">
            <span>Reading {i + 1} turned end for end, if read</span>
            <input value={row.reversed} onInput={event => set(i, { reversed: event.currentTarget.value })} />
          </label>
        </fieldset>
      ))}
      <div class="buttons">
        <button
          type="button"
          class="button is-small"
          onClick={() => setRows([...rows, { direction: '', value: '', reversed: '' }])}
        >
          Another direction
        </button>
      </div>
      <label class="field">
        <span>To be checked again by, if a day is set</span>
        <input type="date" value={due} onInput={event => setDue(event.currentTarget.value)} />
      </label>
    </SignedDialog>
  )
}
