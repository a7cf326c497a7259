import { useState } from 'preact/hooks'
import { formatFineGrowth } from '../../core/format.js'
import type { Signature } from '../../core/quantities.js'
import type { Machine } from '../../core/shop.js'
import type { ToolList } from '../../core/spindle/index.js'
import type { ToolsRead } from '../../server/http/schemas/tool-lists.js'
import { machinePath, post, Refused } from '../api.js'
import { Button } from '../frame/button.js'
import { CsvFile } from '../frame/csv-file.js'
import { SelectField, TextField } from '../frame/fields.js'
import { usePreview } from '../frame/preview.js'
import { Problem } from '../frame/problem.js'
import { SignedDialog } from '../frame/signed.js'
import { Choice } from '../frame/switches.js'
import { machines } from '../live/state.js'
import { RefusedRows } from '../morning/table-dialog.js'
import { units } from '../preferences.js'
import { counted } from '../words.js'
import {
  draftOf,
  draftUnits,
  emptyList,
  emptyTool,
  growthText,
  type ListDraft,
  restOf,
  type ToolDraft,
  toolsOf,
  withBuilderLimits,
} from './list-draft.js'

interface Props {
  machine: Machine
  /** the one that is changed; null: a new one */
  list: ToolList | null
  onDone: (list: ToolList) => void
  onClose: () => void
}

interface Wrong {
  /** as the service names it */
  where: string
  text: string
}

const Tools = ({
  draft,
  wrong,
  onChange,
}: {
  draft: readonly ToolDraft[]
  wrong: Wrong
  onChange: (tools: ToolDraft[]) => void
}) => {
  const unit = draftUnits(units.value)
  const set = (index: number, change: Partial<ToolDraft>) =>
    onChange(draft.map((each, i) => (i === index ? { ...each, ...change } : each)))
  const move = (index: number) => {
    const tools = [...draft]
    ;[tools[index - 1], tools[index]] = [tools[index]!, tools[index - 1]!]
    onChange(tools)
  }
  return (
    <>
      {draft.map((tool, i) => {
        const field = (column: keyof ToolDraft, label: string, required = true) => (
          <TextField
            label={label}
            required={required}
            value={tool[column]}
            problem={wrong.where === `tool ${i + 1}, ${column}` ? wrong.text : ''}
            onChange={value => set(i, { [column]: value })}
          />
        )
        return (
          <fieldset key={i} class="tool-draft">
            <legend>Tool {i + 1}</legend>
            {field('tool', 'Tool')}
            {field('length', `Length, ${unit.length}`)}
            {field('speed', `Speed, ${unit.speed}`)}
            {field('cutting', `In the cut, ${unit.time}`)}
            {field('tolerance', `Tolerance, ${unit.tolerance}`)}
            {field('share', 'Growth may take, %', false)}
            {field('after', 'Only after', false)}
            <div class="buttons">
              {i > 0 && (
                <Button small aria-label={`Move tool ${i + 1} up`} onClick={() => move(i)}>
                  Up
                </Button>
              )}
              {draft.length > 1 && (
                <Button
                  small
                  aria-label={`Remove tool ${i + 1}`}
                  onClick={() => onChange(draft.filter((_, k) => k !== i))}
                >
                  Remove
                </Button>
              )}
            </div>
          </fieldset>
        )
      })}
      <div class="buttons">
        <Button small onClick={() => onChange([...draft, emptyTool])}>
          Add a tool
        </Button>
      </div>
    </>
  )
}

/** The tools of a job, typed or as a table; and what the spindle does before, and for a change. */
export const ListDialog = ({ machine, list, onDone, onClose }: Props) => {
  const system = units.value
  const unit = draftUnits(system)
  const [draft, setDraft] = useState<ListDraft>(() =>
    withBuilderLimits(list ? draftOf(list, system) : emptyList, machine.spindle ?? {}),
  )
  const [how, setHow] = useState<'typed' | 'table'>('typed')
  const [csv, setCsv] = useState('')
  const [wrong, setWrong] = useState<Wrong>({ where: '', text: '' })
  const { found: read, problem } = usePreview(csv, text =>
    post<ToolsRead>(machinePath(machine.id, 'tool-lists/preview'), { csv: text }),
  )
  const set = (change: Partial<ListDraft>) => setDraft(before => ({ ...before, ...change }))
  const field = (label: string, where: string, value: string, change: (value: string) => void, required = true) => (
    <TextField
      label={label}
      required={required}
      value={value}
      problem={
        wrong.where === `body "${where.split(',')[0]}"${where.slice(where.split(',')[0]!.length)}` ? wrong.text : ''
      }
      onChange={change}
    />
  )
  const send = async (signature: Signature) => {
    setWrong({ where: '', text: '' })
    const tools = how === 'typed' ? { tools: toolsOf(draft.tools, system) } : { csv }
    try {
      const body = { ...signature, ...restOf(draft, system), ...tools }
      const address = machinePath(machine.id, list ? `tool-lists/${list.id}` : 'tool-lists')
      onDone(await post<ToolList>(address, body, list ? 'PUT' : 'POST'))
    } catch (error) {
      if (error instanceof Refused) setWrong({ where: error.where, text: error.message })
      throw error
    }
  }
  const { ran, warmUp } = draft
  const growthNow = machines.value.get(machine.id)?.spindle?.growth ?? null
  return (
    <SignedDialog
      title={list ? `Change ${list.name}` : 'Enter the tools of a job'}
      action={list ? 'Change the list' : 'Plan these tools'}
      onSend={send}
      onClose={onClose}
    >
      {field('Job, name or number', 'name', draft.name, name => set({ name }))}
      <Choice
        legend="How the tools are given"
        value={how}
        options={[
          { value: 'typed', text: 'Typed' },
          { value: 'table', text: 'As a table (CSV)' },
        ]}
        onChange={setHow}
      />
      {how === 'typed' ? (
        <>
          <p class="quiet">
            In the order in which they are to be used. Length: from the spindle nose to the tip. Growth may take that
            part of the tolerance; 30 % is common practice. Only after: tools further up that must come first, as T1,
            T4.
          </p>
          <Tools draft={draft.tools} wrong={wrong} onChange={tools => set({ tools })} />
        </>
      ) : (
        <>
          <p>
            Headings <code>tool,length,speed,cutting,tolerance</code>, and <code>share,after</code> if wanted; each may
            carry its unit: <code>length (mm)</code>. Rows stand in the order in which the tools are to be used.
          </p>
          <CsvFile label="CSV file" value={csv} onChange={setCsv} />
          <Problem text={problem} />
          {read && (
            <p role="status">
              <strong>
                {counted(read.tools.length, 'tool')} can be read
                {read.refused.length > 0 && `, ${counted(read.refused.length, 'row is', 'rows are')} wrong`}.
              </strong>
            </p>
          )}
          {read && read.refused.length > 0 && <RefusedRows refused={read.refused} />}
        </>
      )}
      {field('Spindle stands still for each change of tools, s', 'change', draft.change, change => set({ change }))}
      <SelectField
        label="Before the job the spindle"
        value={draft.start}
        options={[
          { value: 'cold', text: 'is cold: at rest for hours' },
          { value: 'ran', text: 'has been running' },
          { value: 'grown', text: 'has grown by a known amount' },
        ]}
        onChange={start => set({ start })}
      />
      {draft.start === 'grown' && (
        <div class="field-pair">
          {field(`It has grown by, ${unit.tolerance}`, 'start, growth', draft.grown, grown => set({ grown }))}
          {growthNow !== null && (
            <Button small class="as-now" onClick={() => set({ grown: growthText(growthNow, system) })}>
              As it is now by its speed, {formatFineGrowth(growthNow, system)}
            </Button>
          )}
        </div>
      )}
      {draft.start === 'ran' && (
        <div class="field-pair">
          {field(`At a speed of, ${unit.speed}`, 'start, speed', ran.speed, speed => set({ ran: { ...ran, speed } }))}
          {field(`For, ${unit.time}`, 'start, duration', ran.duration, duration => set({ ran: { ...ran, duration } }))}
          {field(`At rest since, ${unit.time}`, 'start, rest', ran.rest, rest => set({ ran: { ...ran, rest } }))}
        </div>
      )}
      <label>
        <input
          type="checkbox"
          checked={draft.isWarmedUp}
          onChange={event => set({ isWarmedUp: event.currentTarget.checked })}
        />{' '}
        Warm the spindle up for the first tool, which then stays first
      </label>
      {draft.isWarmedUp && (
        <>
          <p class="quiet">What the machine builder’s instructions allow of a cold spindle:</p>
          <div class="field-pair">
            {field(`Highest speed, ${unit.speed}`, 'warmUp, highest', warmUp.highest, highest =>
              set({ warmUp: { ...warmUp, highest } }),
            )}
            {field(`Faster at once by at most, ${unit.speed}`, 'warmUp, step', warmUp.step, step =>
              set({ warmUp: { ...warmUp, step } }),
            )}
            {field(`At each speed at least, ${unit.time}`, 'warmUp, hold', warmUp.hold, hold =>
              set({ warmUp: { ...warmUp, hold } }),
            )}
          </div>
        </>
      )}
      <div class="field-pair">
        {field(`Tilt of the head, ${unit.tilt}, if known`, 'tilt', draft.tilt, tilt => set({ tilt }), false)}
        {field(
          `Work above the table, ${unit.length}, if known`,
          'workHeight',
          draft.workHeight,
          workHeight => set({ workHeight }),
          false,
        )}
      </div>
    </SignedDialog>
  )
}
