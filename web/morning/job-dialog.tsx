import { useEffect, useState } from 'preact/hooks'
import { materials } from '../../core/materials.js'
import type { PlannedJob } from '../../core/morning/index.js'
import type { Signature } from '../../core/quantities.js'
import type { Shop } from '../../core/shop.js'
import type { ToolListsAnswer } from '../../server/http/schemas/tool-lists.js'
import { useAnswer } from '../answer.js'
import { ask, machinePath, post, Refused } from '../api.js'
import { Button } from '../frame/button.js'
import { SelectField, TextField } from '../frame/fields.js'
import { SignedDialog } from '../frame/signed.js'
import { now } from '../live/state.js'
import { units } from '../preferences.js'
import { FeatureFields } from './feature-fields.js'
import type { JobCells } from './job-cells.js'
import { cellsOf, draftOf, emptyDraft, emptyFeature, type JobDraft } from './job-draft.js'

interface Props {
  shop: Shop
  /** the one that is changed; null: a new one */
  job: PlannedJob | null
  /** ISO 8601 day of the check */
  day: string
  onDone: (said: string) => void
  onClose: () => void
}

/** those of the table, and those that only this shop has */
const materialNames = ({ workClasses }: Shop): string[] => [
  ...new Set([...workClasses.map(({ material }) => material.name), ...materials.map(({ name }) => name)]),
]

const sizeKinds = [
  { value: '', text: 'not said: a usual one for the machine' },
  { value: 'mass', text: 'Mass' },
  { value: 'thickness', text: 'Thickness' },
  { value: 'diameter', text: 'Diameter' },
] as const
const origins = [
  { value: 'shop', text: 'in the shop' },
  { value: 'outdoors', text: 'from outdoors' },
  { value: 'store', text: 'from a store at another temperature' },
] as const

/** Plans a job, or changes one. What the service refuses is said at the field that it is about. */
export const JobDialog = ({ shop, job, day, onDone, onClose }: Props) => {
  const system = units.value
  const [draft, setDraft] = useState<JobDraft>(() =>
    job ? draftOf(job, system, shop) : emptyDraft(now.peek() ?? Date.now(), shop),
  )
  const [problem, setProblem] = useState({ column: '', text: '' })
  const set = (change: Partial<JobDraft>) => setDraft(before => ({ ...before, ...change }))
  const problemOf = (column: string) => (problem.column === column ? problem.text : '')
  const machine = shop.machines.find(({ id }) => id === draft.machine)
  // without them the job can be planned all the same
  const { value: listed } = useAnswer(
    async signal => (draft.machine ? ask<ToolListsAnswer>(machinePath(draft.machine, 'tool-lists'), { signal }) : null),
    draft.machine,
  )
  const lists = listed?.lists ?? []
  useEffect(() => {
    const own = lists.find(({ id, machine }) => id === job?.tools && machine === job.machines[0])
    if (own) set({ tools: own.name })
  }, [listed])
  const field = (
    column: keyof JobCells,
    key: 'part' | 'duration' | 'share' | 'temperature' | 'partSize' | 'speed',
    label: string,
  ) => (
    <TextField
      label={label}
      required={column !== 'share' && column !== 'speed'}
      value={draft[key]}
      problem={problemOf(column)}
      onChange={value => set({ [key]: value })}
    />
  )
  const send = async (signature: Signature) => {
    setProblem({ column: '', text: '' })
    try {
      const one = cellsOf(draft)
      if (job) await post(`/api/jobs/${job.id}`, { ...signature, day, one }, 'PUT')
      else await post('/api/jobs', { ...signature, one })
    } catch (error) {
      const column = error instanceof Refused ? (/^body "one", ([a-z]+)$/.exec(error.where)?.[1] ?? '') : ''
      if (error instanceof Error) setProblem({ column, text: error.message })
      throw error
    }
    onDone(`${draft.part.trim()} is ${job ? 'changed' : 'planned'}.`)
  }
  const feature = (index: number) => (change: Partial<JobDraft['features'][number]>) =>
    set({ features: draft.features.map((each, i) => (i === index ? { ...each, ...change } : each)) })
  const sizeKind = sizeKinds.find(({ value }) => value === draft.sizeKind)!
  return (
    <SignedDialog
      title={job ? `Change ${job.part}` : 'Enter a job'}
      action={job ? 'Change the job' : 'Plan the job'}
      onSend={send}
      onClose={onClose}
    >
      {field('part', 'part', 'Part, name or number')}
      <div class="field-pair">
        <TextField
          label="Planned start, shop’s time"
          required
          value={draft.start}
          problem={problemOf('start')}
          onChange={start => set({ start })}
        />
        {field('duration', 'duration', 'It takes, with unit: 45 min')}
      </div>
      <div class="field-pair">
        <SelectField
          label="Machine"
          value={draft.machine}
          options={[{ value: '', text: 'any that makes the part' }, ...shop.machines]}
          onChange={id => set({ machine: id, others: [], tools: '' })}
          aria-invalid={problemOf('machine') !== ''}
        />
        <SelectField
          label="Material"
          value={draft.material}
          options={materialNames(shop)}
          onChange={material => set({ material })}
        />
      </div>
      {problemOf('machine') && <span class="field-problem">{problemOf('machine')}</span>}
      {machine && (
        <fieldset class="flow job-others">
          <legend>It can be made on these too</legend>
          {shop.machines
            .filter(({ id }) => id !== machine.id)
            .map(({ id, name }) => (
              <label key={id}>
                <input
                  type="checkbox"
                  checked={draft.others.includes(id)}
                  onChange={event =>
                    set({
                      others: event.currentTarget.checked
                        ? [...draft.others, id]
                        : draft.others.filter(other => other !== id),
                    })
                  }
                />{' '}
                {name}
              </label>
            ))}
        </fieldset>
      )}
      {draft.features.map((each, i) => (
        <FeatureFields
          key={i}
          feature={each}
          number={draft.features.length > 1 ? String(i + 1) : ''}
          machine={machine}
          problemOf={problemOf}
          onChange={feature(i)}
          onRemove={
            draft.features.length > 1 ? () => set({ features: draft.features.filter((_, k) => k !== i) }) : null
          }
        />
      ))}
      <Button small onClick={() => set({ features: [...draft.features, emptyFeature] })}>
        Add a feature
      </Button>
      <div class="field-pair">
        <SelectField label="The part comes" value={draft.from} options={origins} onChange={from => set({ from })} />
        <TextField
          label={draft.from === 'shop' ? 'In the shop since, if not for long' : 'Brought in at, shop’s time'}
          required={draft.from !== 'shop'}
          value={draft.brought}
          problem={problemOf('brought')}
          onChange={brought => set({ brought })}
        />
      </div>
      {draft.from === 'store' &&
        field(
          'temperature',
          'temperature',
          `Temperature of the store, with unit: ${system === 'metric' ? '12 °C' : '54 °F'}`,
        )}
      <div class="field-pair">
        <SelectField
          label="Size of the part, for how long it soaks"
          value={draft.sizeKind}
          options={sizeKinds}
          onChange={kind => set({ sizeKind: kind })}
        />
        {draft.sizeKind !== '' && field(draft.sizeKind, 'partSize', `${sizeKind.text} of the part, with unit`)}
      </div>
      <div class="field-pair">
        {lists.length > 0 && (
          <SelectField
            label="Tool list, for its warm-up and speeds"
            value={draft.tools}
            options={[{ value: '', text: 'none' }, ...lists.map(({ name }) => name)]}
            onChange={tools => set({ tools })}
          />
        )}
        {field('speed', 'speed', 'Fastest that the spindle turns, 1/min, if known')}
      </div>
      <div class="field-pair">
        {field('share', 'share', 'Heat may take of the tolerance')}
        <SelectField
          label="Zero is set at"
          value={draft.zeroed}
          options={[
            { value: 'job start', text: 'the job’s start' },
            { value: 'datum', text: 'the machine’s datum' },
          ]}
          onChange={zeroed => set({ zeroed })}
        />
      </div>
    </SignedDialog>
  )
}
