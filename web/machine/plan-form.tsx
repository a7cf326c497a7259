import { useState } from 'preact/hooks'
import { formatMoment, temperatureScale } from '../../core/format.js'
import type { Shop } from '../../core/shop.js'
import type { SourcesAhead } from '../../core/shop-model/index.js'
import { toCelsius } from '../../core/units.js'
import { setQuery } from '../address.js'
import { Button } from '../frame/button.js'
import { fieldClock } from '../frame/field-moment.js'
import { SelectField } from '../frame/fields.js'
import { ClockField } from '../frame/moment-field.js'
import { Problem } from '../frame/problem.js'
import { units } from '../preferences.js'
import { type Change, changesOf, nextMoment, sayChange, writePlan } from './plan.js'

interface Props {
  plan: readonly Change[]
  now: number
  shop: Shop
  /** null while it is not known */
  sources: SourcesAhead | null
}

/** Says what is planned: what the air goes to, or what happens to a source of which the model of the shop tells what it does. */
export const PlanForm = ({ plan, now, shop, sources }: Props) => {
  const [clock, setClock] = useState(fieldClock(5, shop))
  const [what, setWhat] = useState('')
  const [amount, setAmount] = useState('')
  const [problem, setProblem] = useState('')
  const system = units.value
  const { unit } = temperatureScale[system]
  const able = sources?.sources.filter(({ cannotBeTold }) => cannotBeTold === null) ?? []
  const choices = able.flatMap(({ source, kind }) => changesOf(kind).map(to => ({ source, to })))
  const chosen = choices.find(({ source, to }) => `${source},${to}` === what)
  const isOfAir = plan.some(change => !('source' in change))

  const add = (event: Event) => {
    event.preventDefault()
    const at = nextMoment(clock, now, shop)
    if (at === null) return setProblem(`Give a time of day such as ${fieldClock(5, shop)}.`)
    if (plan.length > 0 && isOfAir === Boolean(chosen))
      return setProblem(
        'A plan says either what the air goes to, or what happens to doors and the heating: take the other out first.',
      )
    let change: Change
    if (chosen) change = { at, ...chosen }
    else {
      const number = Number(amount.replace(',', '.').replace('−', '-'))
      if (amount.trim() === '' || !Number.isFinite(number)) return setProblem(`Give a temperature in ${unit}.`)
      const temperature = toCelsius(number, system === 'metric' ? '°C' : '°F')
      if (temperature < -45 || temperature > 60) return setProblem('That is no temperature for a shop.')
      change = { at, temperature: Math.round(temperature * 100) / 100 }
    }
    setProblem('')
    setAmount('')
    setQuery({ plan: writePlan([...plan, change]) })
  }
  return (
    <div class="plan">
      <form class="fields is-close" onSubmit={add}>
        <ClockField label="At" zone={shop} required value={clock} onChange={setClock} />
        {choices.length > 0 && (
          <SelectField
            label="what is planned"
            value={what}
            options={[
              { value: '', text: 'the air here goes to a temperature' },
              ...choices.map(choice => ({
                value: `${choice.source},${choice.to}`,
                text: sayChange({ at: 0, ...choice }, shop, system),
              })),
            ]}
            onChange={setWhat}
          />
        )}
        {!chosen && (
          <label class="field">
            <span>the air here goes to, {unit}</span>
            <input
              inputMode="decimal"
              required
              size={6}
              value={amount}
              onInput={event => setAmount(event.currentTarget.value)}
            />
          </label>
        )}
        <button type="submit" class="button">
          Add to the plan
        </button>
      </form>
      <Problem text={problem} />
      {plan.length > 0 && (
        <ul class="plan-list">
          {plan.map(change => (
            <li key={writePlan([change])}>
              from {formatMoment(change.at, now, shop)} {sayChange(change, shop, system)}{' '}
              <Button onClick={() => setQuery({ plan: writePlan(plan.filter(c => c !== change)) || null })}>
                Take out
              </Button>
            </li>
          ))}
        </ul>
      )}
    </div>
  )
}
