import { useState } from 'preact/hooks'
import type { Machine } from '../../core/shop.js'
import type { LogSummary } from '../../server/http/schemas/measured.js'
import { machinePath, post } from '../api.js'
import { CsvFile } from '../frame/csv-file.js'
import { SelectField } from '../frame/fields.js'
import { SignedDialog } from '../frame/signed.js'
import { Choice } from '../frame/switches.js'

interface Props {
  machine: Machine
  onDone: (log: LogSummary) => void
  onClose: () => void
}

type Sense = 'longer reads higher' | 'longer reads lower'
const senses: readonly { value: Sense; text: string }[] = [
  { value: 'longer reads higher', text: 'Longer reads higher' },
  { value: 'longer reads lower', text: 'Longer reads lower' },
]

export const LogDialog = ({ machine, onDone, onClose }: Props) => {
  const [axis, setAxis] = useState(machine.axes[0]?.id ?? '')
  const [sense, setSense] = useState<Sense>('longer reads higher')
  const [csv, setCsv] = useState('')
  return (
    <SignedDialog
      title={`Upload a log of ${machine.name}`}
      noteLabel="Note: what was measured against what"
      action="Store log"
      onSend={async signature =>
        onDone(await post(machinePath(machine.id, 'environment/logs'), { ...signature, axis, sense, csv }))
      }
      onClose={onClose}
    >
      <p>
        A CSV file with the headings <code>time,value (µm)</code>, or another unit: tenths, in, mm. Times as{' '}
        <code>2026-01-14 09:30</code> in the shop’s time, or with their zone. A log stays on record.
      </p>
      <SelectField label="Axis" value={axis} options={machine.axes.map(({ id }) => id)} onChange={setAxis} />
      <div class="field">
        <span aria-hidden="true">What the indicator does when the axis grows</span>
        <div>
          <Choice
            legend="What the indicator does when the axis grows"
            value={sense}
            options={senses}
            onChange={setSense}
          />
        </div>
      </div>
      <CsvFile label="CSV file" value={csv} onChange={setCsv} />
    </SignedDialog>
  )
}
