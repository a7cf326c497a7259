import { useState } from 'preact/hooks'
import type { Zone } from '../../core/format.js'
import type { Signature } from '../../core/quantities.js'
import type { Machine } from '../../core/shop.js'
import type { Measurement } from '../../core/state.js'
import { machinePath, post } from '../api.js'
import { CsvFile } from '../frame/csv-file.js'
import { fieldMoment } from '../frame/field-moment.js'
import { SelectField, TextField } from '../frame/fields.js'
import { MomentField } from '../frame/moment-field.js'
import { SignedDialog } from '../frame/signed.js'
import { now } from '../live/state.js'
import { units } from '../preferences.js'

interface Props {
  machine: Machine
  zone: Zone
  onDone: (count: number) => void
  onClose: () => void
}

interface OneMeasurement {
  axis: string
  zero: string
  time: string
  value: string
  uncertainty: string
}

/** @returns how many were stored */
const postMeasurements = async (machine: string, what: Signature & ({ one: OneMeasurement } | { csv: string })) =>
  (await post<{ measurements: Measurement[] }>(machinePath(machine, 'measurements'), what)).measurements.length

/** One measurement, entered by hand. */
export const MeasurementDialog = ({ machine, zone, onDone, onClose }: Props) => {
  const system = units.value
  const moment = now.peek() ?? Date.now()
  const example =
    system === 'metric'
      ? { value: '8 µm', uncertainty: '0.5 µm' }
      : system === 'inch'
        ? { value: '0.0003 in', uncertainty: '0.0001 in' }
        : { value: '3 tenths', uncertainty: '0.2 tenths' }
  const [one, setOne] = useState<OneMeasurement>({
    axis: machine.axes[0]?.id ?? '',
    zero: fieldMoment(moment - 4 * 3_600_000, zone),
    time: fieldMoment(moment, zone),
    value: '',
    uncertainty: '',
  })
  const set = (change: Partial<OneMeasurement>) => setOne({ ...one, ...change })
  return (
    <SignedDialog
      title={`Measured growth of ${machine.name}`}
      noteLabel="Note: what was measured with what"
      action="Store measurement"
      onSend={async signature => onDone(await postMeasurements(machine.id, { ...signature, one }))}
      onClose={onClose}
    >
      <p>
        What a probe on a reference sphere, or an indicator, read since it was set to zero, where the work is held.
        Positive when the axis has grown longer.
      </p>
      <div class="field-pair">
        <SelectField
          label="Axis"
          value={one.axis}
          options={machine.axes.map(({ id }) => id)}
          onChange={axis => set({ axis })}
        />
        <TextField
          label={`Growth, with unit: ${example.value}`}
          required
          value={one.value}
          onChange={value => set({ value })}
        />
      </div>
      <div class="field-pair">
        <MomentField
          label="Set to zero at, shop’s time"
          zone={zone}
          value={one.zero}
          onChange={zero => set({ zero })}
        />
        <MomentField label="Read at, shop’s time" zone={zone} value={one.time} onChange={time => set({ time })} />
      </div>
      <TextField
        label={`Standard uncertainty of one reading, with unit: ${example.uncertainty}`}
        required
        value={one.uncertainty}
        onChange={uncertainty => set({ uncertainty })}
      />
    </SignedDialog>
  )
}

/** A table of measurements. */
export const MeasurementTableDialog = ({ machine, onDone, onClose }: Props) => {
  const [csv, setCsv] = useState('')
  return (
    <SignedDialog
      title={`Upload measurements of ${machine.name}`}
      noteLabel="Note: what was measured with what"
      action="Store measurements"
      onSend={async signature => onDone(await postMeasurements(machine.id, { ...signature, csv }))}
      onClose={onClose}
    >
      <p>
        A CSV file with the headings <code>axis,zero,time,value (µm),uncertainty (µm)</code>, and{' '}
        <code>position (mm)</code> and <code>note</code> if wanted. Times as <code>2026-01-14 09:30</code> in the shop’s
        time, or with their zone.
      </p>
      <CsvFile label="CSV file" value={csv} onChange={setCsv} />
    </SignedDialog>
  )
}
