import { useEffect, useRef } from 'preact/hooks'
import { formatClock, type Zone } from '../../core/format.js'
import type { RunReading, SpindlePlan } from '../../core/spindle/index.js'
import { Button } from '../frame/button.js'
import { ValueEntry } from './value-entry.js'

interface Props {
  plan: SpindlePlan
  zone: Zone
  reading: RunReading
  /** null: it counts for nothing */
  onCorrect: (value: number | null) => void
  onClose: () => void
}

/** A reading that was mistyped, or should not count. What was there first stays on record. */
export const CorrectDialog = ({ plan, zone, reading, onCorrect, onClose }: Props) => {
  const dialog = useRef<HTMLDialogElement>(null)
  useEffect(() => dialog.current?.showModal(), [])
  const done = (value: number | null) => {
    onCorrect(value)
    dialog.current?.close()
  }
  return (
    <dialog ref={dialog} class="dialog" aria-labelledby="correct-dialog" onClose={onClose}>
      <h2 id="correct-dialog">The reading of {formatClock(reading.at, zone)}</h2>
      <ValueEntry plan={plan} from={reading.value ?? 0} label="It was" action="Correct to" onKeep={done} />
      <div class="dialog-buttons">
        {reading.value !== null && <Button onClick={() => done(null)}>Leave it out</Button>}
        <Button onClick={() => dialog.current?.close()}>Cancel</Button>
      </div>
    </dialog>
  )
}
