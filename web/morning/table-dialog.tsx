import { useState } from 'preact/hooks'
import { formatDuration, formatMoment } from '../../core/format.js'
import type { JobPlan } from '../../core/morning/index.js'
import { nameOf } from '../../core/names.js'
import type { Shop } from '../../core/shop.js'
import type { EnteredAnswer, PreviewAnswer } from '../../server/http/schemas/jobs.js'
import { post } from '../api.js'
import { CsvFile } from '../frame/csv-file.js'
import { usePreview } from '../frame/preview.js'
import { Problem } from '../frame/problem.js'
import { SignedDialog } from '../frame/signed.js'
import { Table } from '../frame/table.js'
import { now } from '../live/state.js'
import { units } from '../preferences.js'
import { counted } from '../words.js'
import { featureWords } from './features.js'

export const RefusedRows = ({ refused }: Pick<PreviewAnswer, 'refused'>) => (
  <Table
    caption="Rows that are refused"
    rows={refused}
    keyOf={({ line, column }, i) => `${line} ${column} ${i}`}
    columns={[
      { head: 'Line', names: true, form: 'nowrap', cell: ({ line }) => line || 'all' },
      { head: 'Column', form: 'nowrap', cell: ({ column }) => column || 'the row' },
      { head: 'What is wrong', cell: ({ problem }) => problem },
      { head: 'What would be right', cell: ({ remedy }) => remedy },
    ]}
  />
)

const Found = ({ preview: { jobs, refused }, shop }: { preview: PreviewAnswer; shop: Shop }) => {
  const moment = now.peek() ?? Date.now()
  return (
    <>
      <p role="status">
        <strong>
          {counted(jobs.length, 'job')} can be taken
          {refused.length > 0 && `, ${counted(refused.length, 'row is', 'rows are')} refused`}.
        </strong>
      </p>
      {refused.length > 0 && <RefusedRows refused={refused} />}
      {jobs.length > 0 && (
        <Table
          caption="Jobs that can be taken"
          rows={jobs}
          keyOf={(_, i) => i}
          columns={[
            { head: 'Start', form: 'nowrap', cell: ({ start }: JobPlan) => formatMoment(start, moment, shop) },
            { head: 'Part', names: true, cell: ({ part }) => part },
            {
              head: 'Features',
              cell: ({ features }) => features.map(feature => featureWords(feature, units.value)).join('; '),
            },
            { head: 'Machine', cell: ({ machines }) => machines.map(id => nameOf(shop.machines, id)).join(' or ') },
            { head: 'Takes', form: 'nowrap', cell: ({ duration }) => formatDuration(duration) },
          ]}
        />
      )}
    </>
  )
}

interface Props {
  shop: Shop
  onDone: (said: string) => void
  onClose: () => void
}

/** A list of jobs as CSV: looked through while it stands there, taken when somebody says so. */
export const TableDialog = ({ shop, onDone, onClose }: Props) => {
  const [csv, setCsv] = useState('')
  const { found: preview, problem } = usePreview(csv, text => post<PreviewAnswer>('/api/jobs/preview', { csv: text }))
  return (
    <SignedDialog
      title="Send a list of jobs"
      action={preview && preview.jobs.length > 0 ? `Take ${counted(preview.jobs.length, 'job')}` : 'Take the jobs'}
      onSend={async signature => {
        if (preview?.jobs.length === 0) throw new Error('There is no row that can be taken.')
        const { added, refused } = await post<EnteredAnswer>('/api/jobs', { ...signature, csv })
        const left = refused.length > 0 ? ` ${counted(refused.length, 'row was', 'rows were')} refused.` : ''
        onDone(`${counted(added.length, 'job')} planned.${left}`)
      }}
      onClose={onClose}
    >
      <p>
        A CSV file with the headings <code>part,size,tolerance,material,machine,start,duration</code>, and{' '}
        <code>
          feature, axis, from, brought, temperature, mass, thickness, diameter, speed, tools, share, zeroed, reads
        </code>{' '}
        if wanted. A row without a part is a further feature of the job above it.
      </p>
      <CsvFile label="CSV file" value={csv} onChange={setCsv} />
      <Problem text={problem} />
      {preview && <Found preview={preview} shop={shop} />}
    </SignedDialog>
  )
}
