import { useState } from 'preact/hooks'
import type { Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { ReadWith } from '../../core/spindle/index.js'
import { machinePath, post } from '../api.js'
import { CsvFile } from '../frame/csv-file.js'
import { fieldMoment } from '../frame/field-moment.js'
import { TextField } from '../frame/fields.js'
import { MomentField } from '../frame/moment-field.js'
import { SignedDialog } from '../frame/signed.js'
import { now } from '../live/state.js'
import { units } from '../preferences.js'
import { ReadingFields } from './reading-fields.js'

interface Props {
  machine: Machine
  zone: Zone
  onDone: () => void
  onClose: () => void
}

/** A growth test that was run without the guide, as a table. */
export const EnterDialog = ({ machine, zone, onDone, onClose }: Props) => {
  const metric = units.value === 'metric'
  const [time, setTime] = useState(fieldMoment(now.peek() ?? Date.now(), zone))
  const [table, setTable] = useState('')
  const [how, setHow] = useState<ReadWith>('dial indicator')
  const [lower, setLower] = useState(false)
  const [tool, setTool] = useState('')
  const [height, setHeight] = useState('')
  const length = (label: string, value: string, set: (value: string) => void) => (
    <TextField {...{ label, value }} placeholder={metric ? '120 mm' : '4.7 in'} onChange={set} />
  )
  return (
    <SignedDialog
      title={`Growth test of ${machine.name}`}
      action="Enter the test"
      busyText="Entering …"
      onSend={async signature => {
        await post(machinePath(machine.id, 'spindle'), {
          ...signature,
          time,
          readWith: how,
          sense: lower ? 'longer reads lower' : 'longer reads higher',
          ...(tool.trim() && { toolLength: tool }),
          ...(height.trim() && { indicatorHeight: height }),
          csv: table,
        })
        onDone()
      }}
      onClose={onClose}
    >
      <p class="quiet">
        Headings time, speed, growth. A row with a speed is a change of speed (a reading in it was taken just before); a
        row with a growth is a reading:
      </p>
      <pre class="spindle-example">
        {`time (min),speed (1/min),growth (${metric ? 'µm' : 'in'})\n0,6000,0\n5,,${metric ? '8' : '0.0003'}\n30,,${metric ? '19' : '0.0007'}\n60,0,${metric ? '21' : '0.0008'}\n90,,${metric ? '6' : '0.0002'}`}
      </pre>
      <CsvFile label="The table as a CSV file" value={table} onChange={setTable} />
      <MomentField
        label="When it began (not needed where rows have dates)"
        value={time}
        zone={zone}
        onChange={setTime}
      />
      <ReadingFields {...{ how, setHow, lower, setLower }} />
      <div class="field-pair">
        {length('Tool length', tool, setTool)}
        {length('Indicator above the table', height, setHeight)}
      </div>
    </SignedDialog>
  )
}
