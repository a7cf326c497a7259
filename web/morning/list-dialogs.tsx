import { useState } from 'preact/hooks'
import type { PlannedJob } from '../../core/morning/index.js'
import type { EnteredAnswer } from '../../server/http/schemas/jobs.js'
import { post } from '../api.js'
import { TextField } from '../frame/fields.js'
import { SignedDialog } from '../frame/signed.js'
import { counted } from '../words.js'

interface Props {
  onDone: (said: string) => void
  onClose: () => void
}

/** The list of an earlier day, planned again. */
export const TakeOverDialog = ({ onDone, onClose }: Props) => {
  const [from, setFrom] = useState('')
  return (
    <SignedDialog
      title="Take over an earlier day’s list"
      action="Take it over"
      onSend={async signature => {
        const { added } = await post<EnteredAnswer>('/api/jobs/take-over', { ...signature, ...(from && { from }) })
        onDone(added.length === 0 ? 'All of them are planned already.' : `${counted(added.length, 'job')} taken over.`)
      }}
      onClose={onClose}
    >
      <p>
        Its jobs are planned again for today, at the same times of day. What is planned already is not planned twice.
      </p>
      <TextField label="Day; if left empty, the last one that has a list" type="date" value={from} onChange={setFrom} />
    </SignedDialog>
  )
}

/** A planned job that is not done. */
export const WithdrawDialog = ({ job, day, onDone, onClose }: Props & { job: PlannedJob; day: string }) => (
  <SignedDialog
    title={`Withdraw ${job.part}`}
    noteLabel="Note: why"
    action="Withdraw it"
    onSend={async signature => {
      await post(`/api/jobs/${job.id}/withdraw`, { ...signature, day })
      onDone(`${job.part} is withdrawn.`)
    }}
    onClose={onClose}
  >
    <p>It is no longer among today’s jobs. That it was planned, and what was answered, stays on record.</p>
  </SignedDialog>
)
