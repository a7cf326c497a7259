import { useState } from 'preact/hooks'
import type { MachineMorning } from '../../core/morning/index.js'
import type { Machine } from '../../core/shop.js'
import { machinePath, post } from '../api.js'
import { SignedDialog } from '../frame/signed.js'
import { Choice } from '../frame/switches.js'

type Decision = NonNullable<MachineMorning['decision']>['kind']

export const decisionWords: Record<Decision, string> = { go: 'Use it', wait: 'Wait', move: 'Move its work' }

interface Props {
  machine: Machine
  onDone: (said: string) => void
  onClose: () => void
}

/** What was decided for a machine this morning, with initials. It commands nothing. */
export const DecisionDialog = ({ machine, onDone, onClose }: Props) => {
  const [decision, setDecision] = useState<Decision>('go')
  return (
    <SignedDialog
      title={`Decision for ${machine.name}`}
      action="Keep it"
      onSend={async signature => {
        await post(machinePath(machine.id, 'decisions'), { ...signature, decision })
        onDone(`${machine.name}: ${decisionWords[decision].toLowerCase()}, kept.`)
      }}
      onClose={onClose}
    >
      <p>What is done with the machine this morning. It is kept with who decided it; nothing is started or stopped.</p>
      <Choice
        legend="Decision"
        value={decision}
        options={(Object.keys(decisionWords) as Decision[]).map(value => ({ value, text: decisionWords[value] }))}
        onChange={setDecision}
      />
    </SignedDialog>
  )
}
