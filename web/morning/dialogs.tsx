import type { PlannedJob } from '../../core/morning/index.js'
import type { Shop } from '../../core/shop.js'
import { DecisionDialog } from './decision-dialog.js'
import { JobDialog } from './job-dialog.js'
import { TakeOverDialog, WithdrawDialog } from './list-dialogs.js'
import { ReadingDialog } from './reading.js'
import { TableDialog } from './table-dialog.js'

/** Which of the page's dialogs is open. */
export type Open =
  | { kind: 'enter' | 'table' | 'take over' }
  | { kind: 'change' | 'withdraw'; job: PlannedJob }
  | { kind: 'reading' | 'decision'; machine: string }

interface Props {
  open: Open
  shop: Shop
  /** ISO 8601 */
  day: string
  onDone: (said: string) => void
  onClose: () => void
}

export const OpenDialog = ({ open, ...props }: Props) => {
  switch (open.kind) {
    case 'enter':
      return <JobDialog {...props} job={null} />
    case 'change':
      return <JobDialog {...props} job={open.job} />
    case 'table':
      return <TableDialog {...props} />
    case 'take over':
      return <TakeOverDialog {...props} />
    case 'withdraw':
      return <WithdrawDialog {...props} job={open.job} />
    case 'reading':
    case 'decision': {
      const machine = props.shop.machines.find(({ id }) => id === open.machine)
      if (!machine) return null
      return open.kind === 'decision' ? (
        <DecisionDialog {...props} machine={machine} />
      ) : (
        <ReadingDialog {...props} machine={machine} />
      )
    }
  }
}
