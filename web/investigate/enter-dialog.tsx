import { useState } from 'preact/hooks'
import type { InspectionUse } from '../../core/inspection/index.js'
import type { Shop } from '../../core/shop.js'
import { post } from '../api.js'
import { fieldMoment } from '../frame/field-moment.js'
import { type Option, SelectField, TextField } from '../frame/fields.js'
import { SignedDialog } from '../frame/signed.js'
import { now } from '../live/state.js'

interface Field {
  use: InspectionUse
  label: string
  required?: boolean
  example?: string
  options?: readonly Option<string>[]
}

const fields: readonly Field[] = [
  { use: 'part', label: 'Part', required: true },
  { use: 'serial', label: 'Serial number' },
  { use: 'feature', label: 'Feature', required: true, example: 'bore distance' },
  { use: 'axis', label: 'Axis, if known', example: 'X' },
  { use: 'nominal', label: 'Nominal size, with its unit', required: true, example: '120 mm' },
  { use: 'lower limit', label: 'Lower limit', example: '119.99 mm' },
  { use: 'upper limit', label: 'Upper limit', example: '120.01 mm' },
  { use: 'measured', label: 'Measured, with its unit', required: true, example: '120.013 mm' },
  { use: 'temperature', label: 'Temperature of the part when measured', example: '20 °C' },
  { use: 'longer axis', label: 'A longer axis makes it', options: ['larger', 'smaller'] },
  {
    use: 'cut',
    label: 'Cut on',
    options: [
      { value: '', text: 'one side; a diameter where the axis reads one' },
      'one side',
      'both sides',
      'diameter',
    ],
  },
  { use: 'zeroed', label: 'Zeroed at', options: ['datum', 'each part'] },
  { use: 'material', label: 'Material', example: 'aluminium 6061' },
  { use: 'tool', label: 'Tool' },
]

/** One measured part, by hand. */
export const EnterDialog = ({
  theShop,
  onDone,
  onClose,
}: {
  theShop: Shop
  onDone: () => void
  onClose: () => void
}) => {
  const [cells, setCells] = useState<Partial<Record<InspectionUse, string>>>({
    machine: theShop.machines[0]?.name ?? '',
    time: fieldMoment(now.peek() ?? Date.now(), theShop),
    'longer axis': 'larger',
    zeroed: 'datum',
  })
  const set = (use: InspectionUse, text: string) => setCells(before => ({ ...before, [use]: text }))
  const choice = (use: InspectionUse, label: string, options: readonly Option<string>[]) => (
    <SelectField
      key={use}
      label={label}
      value={cells[use] ?? ''}
      options={options}
      onChange={chosen => set(use, chosen)}
    />
  )
  const text = ({ use, label, required = false, example }: Field) => (
    <TextField
      key={use}
      {...{ label, required }}
      {...(example !== undefined && { placeholder: example })}
      maxLength={500}
      value={cells[use] ?? ''}
      onChange={typed => set(use, typed)}
    />
  )
  return (
    <SignedDialog
      title="Enter one measured part"
      action="Enter it"
      onSend={async signature => {
        const said = Object.entries(cells).filter(([, cell]) => cell.trim() !== '')
        await post('/api/inspections', { ...signature, one: Object.fromEntries(said) })
        onDone()
      }}
      onClose={onClose}
    >
      {choice(
        'machine',
        'Machine',
        theShop.machines.map(({ name }) => name),
      )}
      {text({ use: 'time', label: 'Time of the cut, as 2026-01-14 09:30', required: true })}
      <div class="field-pair">
        {fields.map(field => (field.options ? choice(field.use, field.label, field.options) : text(field)))}
      </div>
    </SignedDialog>
  )
}
