import type { ComponentChildren } from 'preact'
import { useEffect, useId, useRef, useState } from 'preact/hooks'
import type { Signature } from '../../core/quantities.js'
import { post } from '../api.js'
import { recall, remember } from '../preferences.js'
import { Button } from './button.js'
import { useToken } from './token.js'

interface Props {
  title: string
  /** what is asked for beside who and why */
  children: ComponentChildren
  /** what the note is for */
  noteLabel?: string
  action: string
  busyText?: string
  onSend: (signature: Signature) => Promise<void>
  onClose: () => void
}

/** A dialog whose outcome is stored with who did it: every write that people make has one. */
export const SignedDialog = ({
  title,
  children,
  noteLabel = 'Note',
  action,
  busyText = 'Storing …',
  onSend,
  onClose,
}: Props) => {
  const id = useId()
  const dialog = useRef<HTMLDialogElement>(null)
  const refusal = useRef<HTMLParagraphElement>(null)
  const [by, setBy] = useState(recall('by'))
  const [note, setNote] = useState('')
  const token = useToken()
  const [problem, setProblem] = useState('')
  const [busy, setBusy] = useState(false)
  useEffect(() => dialog.current?.showModal(), [])
  // on a small screen it may lie below what is seen
  useEffect(() => refusal.current?.scrollIntoView({ block: 'nearest' }), [problem])

  const send = async (event: Event) => {
    event.preventDefault()
    setBusy(true)
    setProblem('')
    remember('by', by.trim())
    token.keep()
    try {
      await onSend({ by: by.trim(), note: note.trim() })
      dialog.current?.close()
    } catch (error) {
      setProblem(token.explained(error))
      setBusy(false)
    }
  }

  return (
    <dialog ref={dialog} class="dialog" aria-labelledby={id} onClose={onClose}>
      <form onSubmit={send}>
        <h2 id={id}>{title}</h2>
        {children}
        <label class="field">
          <span>Who</span>
          <input
            required
            maxLength={80}
            autocomplete="name"
            value={by}
            onInput={event => setBy(event.currentTarget.value)}
          />
        </label>
        <label class="field">
          <span>{noteLabel}</span>
          <textarea rows={2} maxLength={500} value={note} onInput={event => setNote(event.currentTarget.value)} />
        </label>
        {token.field}
        {problem && (
          <p ref={refusal} class="problem" role="alert">
            {problem}
          </p>
        )}
        <div class="dialog-buttons">
          <button type="submit" class="button is-main" disabled={busy}>
            {busy ? busyText : action}
          </button>
          <Button onClick={() => dialog.current?.close()}>Cancel</Button>
        </div>
      </form>
    </dialog>
  )
}

interface TakeBackProps extends Pick<Props, 'title' | 'children' | 'onClose'> {
  /** what is taken back: its address, without the last part */
  address: string
  action?: string
  onDone: () => void
}

/** The dialog by which something that was entered wrongly is taken back. */
export const TakeBackDialog = ({ address, action = 'Take back', onDone, ...rest }: TakeBackProps) => (
  <SignedDialog
    {...rest}
    noteLabel="Why"
    action={action}
    busyText="Taking back …"
    onSend={async signature => {
      await post(`${address}/take-back`, signature)
      onDone()
    }}
  />
)
