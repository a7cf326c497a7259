import { useState } from 'preact/hooks'
import type { PlannedJob } from '../../core/morning/index.js'
import { SignedDialog } from '../frame/signed.js'
import { counted } from '../recordings/recording.js'
import { postTakeOver, postWithdrawal } from './answers.js'

interface Props {
  onDone: (said: string) => void
  onClose: () => void
}

/** The list of an earlier day, planned again. */
export const TakeOverDialog = ({ onDone, onClose }: Props) => {
  const [from, setFrom] = useState('')
  return (
    <SignedDialog
      id="take-over-dialog"
      title="Take over an earlier day’s list"
      noteLabel="Note"
      action="Take it over"
      busyText="Storing …"
      onSend={async signature => {
        const { added } = await postTakeOver(signature, from)
        onDone(added.length === 0 ? 'All of them are planned already.' : `${counted(added.length, 'job')} taken over.`)
      }}
      onClose={onClose}
    >
      <p>
        Its jobs are planned again for today, at the same times of day. What is planned already is not planned twice.
      </p>
      <label class="field">
        <span>Day; if left empty, the last one that has a list</span>
        <input type="date" value={from} onInput={event => setFrom(event.currentTarget.value)} />
      </label>
    </SignedDialog>
  )
}

/** A planned job that is not done. */
export const WithdrawDialog = ({ job, day, onDone, onClose }: Props & { job: PlannedJob; day: string }) => (
  <SignedDialog
    id="withdraw-dialog"
    title={`Withdraw ${job.part}`}
    noteLabel="Note: why"
    action="Withdraw it"
    busyText="Storing …"
    onSend={async signature => {
      await postWithdrawal(signature, job, day)
      onDone(`${job.part} is withdrawn.`)
    }}
    onClose={onClose}
  >
    <p>It is no longer among today’s jobs. That it was planned, and what was answered, stays on record.</p>
  </SignedDialog>
)
