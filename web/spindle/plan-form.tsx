import { useState } from 'preact/hooks'
import { formatDuration, growthScale, lengthScale } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { ReadWith, RunAnswer, SpindleAnswer, SpindlePlan } from '../../core/spindle/index.js'
import { machinePath, post } from '../api.js'
import { CardTitle } from '../frame/card.js'
import { SelectField, TextField } from '../frame/fields.js'
import { Problem } from '../frame/problem.js'
import { useToken } from '../frame/token.js'
import { recall, remember, units } from '../preferences.js'
import { ReadingFields } from './reading-fields.js'

const cautions = [
  'The machine builder’s instructions have been read: his run-in program, his limits of speed and of time at speed.',
  'The guard stays closed while the spindle turns.',
  'Nothing touches the turning spindle: indicator and probe stand clear of it, or the spindle is stopped for each reading.',
]

/** from memory: what ISO 230-3 has of when the spindle may be taken as warm; the values are to be checked in the standard */
const iso: NonNullable<SpindlePlan['stop']> = { window: 3600, part: 0.15 }

const numbers = (text: string): number[] | null => {
  const all = text
    .trim()
    .split(/[\s;,]+/)
    .map(each => Number(each.replace('−', '-')))
  return all.length > 0 && all.every(each => Number.isFinite(each) && each >= 0) ? all : null
}
const number = (text: string): number | null => {
  const value = Number(text.trim().replace(',', '.').replace('−', '-'))
  return text.trim() !== '' && Number.isFinite(value) ? value : null
}

/** What the last test ran, so that the next one can be compared with it. */
const asBefore = (shown: SpindleAnswer['shown']): { speeds: string; dwell: string } => {
  const steps = shown?.test.test.steps ?? []
  const lasts = steps.map(({ duration }) => Math.round(duration / 60) || 1)
  return {
    speeds: steps.map(({ speed }) => Math.round(speed * 60)).join(', '),
    dwell: steps.length > 0 ? (lasts.every(each => each === lasts[0]) ? String(lasts[0]) : lasts.join(', ')) : '60',
  }
}

interface Props {
  machine: Machine
  last: SpindleAnswer['shown']
  onBegun: (answer: RunAnswer) => void
}

/** How the test is to be run, and what must be seen to before it starts. */
export const PlanForm = ({ machine, last, onBegun }: Props) => {
  const system = units.value
  const before = asBefore(last)
  const [speeds, setSpeeds] = useState(before.speeds)
  const [dwell, setDwell] = useState(before.dwell)
  const [readAt, setReadAt] = useState('1, 2, 3, 5, 7, 10, 15, 20, 30, 40, 50, 60')
  const [how, setHow] = useState<ReadWith>(last?.test.readWith ?? 'dial indicator')
  const [lower, setLower] = useState(false)
  const [tool, setTool] = useState('')
  const [height, setHeight] = useState('')
  const [step, setStep] = useState(system === 'metric' ? '1' : '')
  const [stop, setStop] = useState(false)
  const [by, setBy] = useState(recall('by'))
  const [seen, setSeen] = useState<ReadonlySet<number>>(new Set())
  const [problem, setProblem] = useState('')
  const [busy, setBusy] = useState(false)
  const token = useToken()
  const length = lengthScale[system]
  const small = growthScale[system]

  const toSi = (text: string, { of }: { of: (si: number) => number }) => {
    const value = number(text)
    return value === null ? null : value / of(1)
  }
  const plan = (): SpindlePlan | string => {
    const turns = numbers(speeds)
    const minutes = numbers(dwell)
    const at = numbers(readAt)
    if (!turns) return 'Give the speeds in their order, in 1/min: 3000, 6000, 9000, 12000, 6000, 0.'
    if (!turns.some(each => each > 0)) return 'Give at least one speed above 0.'
    if (!minutes || minutes.some(each => each <= 0)) return 'Give how many minutes each speed runs.'
    if (minutes.length > 1 && minutes.length !== turns.length)
      return `Give one number of minutes for all speeds, or one for each: there are ${turns.length} speeds and ${minutes.length} numbers.`
    if (!at || at.some((each, i) => i > 0 && each <= at[i - 1]!))
      return 'Give the minutes of the readings in their order: 1, 2, 5, 10.'
    if (seen.size < cautions.length) return 'See to each of the points about safety, and tick it.'
    if (by.trim() === '') return 'Say who runs the test.'
    return {
      steps: turns.map((each, i) => ({ speed: each / 60, duration: (minutes[i] ?? minutes[0]!) * 60 })),
      readAt: at.map(each => each * 60),
      readWith: how,
      sign: lower ? -1 : 1,
      toolLength: toSi(tool, length),
      indicatorHeight: toSi(height, length),
      resolution: toSi(step, small) ?? 0,
      stop: stop ? iso : null,
    }
  }
  const begin = async (event: Event) => {
    event.preventDefault()
    const planned = plan()
    if (typeof planned === 'string') return setProblem(planned)
    setProblem('')
    setBusy(true)
    remember('by', by.trim())
    token.keep()
    try {
      onBegun(await post<RunAnswer>(machinePath(machine.id, 'spindle/run'), { by: by.trim(), plan: planned }))
    } catch (error) {
      setProblem(token.explained(error))
    }
    setBusy(false)
  }
  const lasts = numbers(dwell) ?? []
  const total = 60 * (numbers(speeds) ?? []).reduce((sum, _, i) => sum + (lasts[i] ?? lasts[0] ?? 0), 0)
  const text = (
    label: string,
    value: string,
    set: (value: string) => void,
    hint = '',
    mode: 'text' | 'decimal' = 'text',
  ) => <TextField {...{ label, value, hint }} inputMode={mode} maxLength={1000} onChange={set} />
  return (
    <form class="panel spindle-plan" onSubmit={begin} noValidate aria-labelledby="spindle-plan">
      <CardTitle id="spindle-plan" text="Plan of the test" about="spindle#a-growth-test" />
      <p>
        Begin with a spindle that has stood for hours. Each speed is run until growth hardly changes; the way back down
        shows how it cools.
      </p>
      {text(
        'Speeds in their order, 1/min',
        speeds,
        setSpeeds,
        'Up, then back down; 0 is the spindle at rest: 3000, 6000, 9000, 12000, 6000, 0',
      )}
      <div class="field-pair">
        {text(
          'Each for, min',
          dwell,
          setDwell,
          `One for all, or one for each${total > 0 ? `: ${formatDuration(total)} in all` : ''}`,
        )}
        {text('Readings, min after each change', readAt, setReadAt)}
      </div>
      <ReadingFields {...{ how, setHow, lower, setLower }} />
      <div class="field-pair is-three">
        {text(`Tool length, ${length.unit}`, tool, setTool, '', 'decimal')}
        {text(`Indicator above table, ${length.unit}`, height, setHeight, '', 'decimal')}
        {text(`Smallest step read, ${small.unit}`, step, setStep, '', 'decimal')}
      </div>
      <SelectField
        label="A speed is over"
        value={stop ? 'iso' : 'time'}
        options={[
          { value: 'time', text: 'when its time has passed' },
          {
            value: 'iso',
            text: 'sooner, when its last hour brings less than 15 % of its first, in the manner of ISO 230-3',
          },
        ]}
        onChange={over => setStop(over === 'iso')}
      />
      <fieldset class="stack group spindle-cautions">
        <legend>Before it starts</legend>
        {cautions.map((caution, i) => (
          <label key={caution}>
            <input
              type="checkbox"
              checked={seen.has(i)}
              onChange={event => {
                const next = new Set(seen)
                if (event.currentTarget.checked) next.add(i)
                else next.delete(i)
                setSeen(next)
              }}
            />
            <span>{caution}</span>
          </label>
        ))}
      </fieldset>
      <label class="field">
        <span>Who</span>
        <input maxLength={80} autocomplete="name" value={by} onInput={event => setBy(event.currentTarget.value)} />
      </label>
      {token.field}
      <Problem text={problem} />
      <div class="buttons">
        <button type="submit" class="button is-main is-big spindle-wide" disabled={busy}>
          {busy ? 'Beginning …' : 'Begin the test'}
        </button>
      </div>
    </form>
  )
}
