import type { PlannedAir } from '../../core/judge/index.js'
import type { Shop } from '../../core/shop.js'
import { shopHeating } from '../../core/shop-model/index.js'
import type { PlannedChange } from '../studies/shop-model/ahead.js'
import { notKnown, Refused } from './refused.js'

/** s; how quickly the air follows a plan that does not say */
const usualPace = 1800
const most = 20

/** what a plan is, for the descriptions of its parameter */
export const planForm =
  'changes separated by ";". Of a source: moment in ms since 1970, its id (`shop-heating` for the heating of the shop), and ' +
  '`open` or `shut` (a door), `on` or `off` (all others), as in 1764651600000,dock-door,shut'

/** What is intended: either what the air goes to, or what happens to sources. */
interface Plan {
  air: PlannedAir[]
  sources: PlannedChange[]
}

/** @throws Refused when a change cannot be read, or where both kinds of changes are given */
export const readPlan = (text: string, { sources }: Pick<Shop, 'sources'>, now: number): Plan => {
  const changes = text.split(';').filter(part => part.trim() !== '')
  if (changes.length > most)
    throw new Refused(400, `The plan has ${changes.length} changes.`, 'plan', `Give at most ${most}.`)
  const plan: Plan = { air: [], sources: [] }
  changes.forEach((change, i) => {
    const parts = change.split(',').map(part => part.trim())
    const what = parts[2] ?? ''
    if (parts.length === 3 && /^[a-z]+$/.test(what)) plan.sources.push(ofSource(parts, sources, i))
    else plan.air.push(ofAir(change, i, now))
  })
  if (plan.air.length > 0 && plan.sources.length > 0)
    throw new Refused(
      400,
      'The plan says what the air goes to, and what happens to sources.',
      'plan',
      'Give one or the other: where the air goes already tells what sources do to it.',
    )
  return plan
}

const ofSource = ([moment, source, what]: readonly string[], sources: Shop['sources'], i: number): PlannedChange => {
  const ids = [...sources.map(({ id }) => id), shopHeating]
  if (!ids.includes(source!)) throw notKnown('source', [source!], ids, `change ${i + 1} of the plan`)
  const isDoor = sources.find(({ id }) => id === source)?.kind === 'door'
  const words = isDoor ? ['open', 'shut'] : ['on', 'off']
  const at = Number(moment)
  if (!words.includes(what!) || moment === '' || !Number.isFinite(at))
    throw new Refused(
      400,
      `Change ${i + 1} of the plan, "${moment},${source},${what}", cannot be read.`,
      'plan',
      `Write moment (ms since 1970), id, and ${words.join(' or ')}, separated by commas.`,
    )
  return { source: source!, at, on: what === words[0] }
}

const ofAir = (change: string, i: number, now: number): PlannedAir => {
  const numbers = change.split(',').map(Number)
  const [moment, temperature, timeConstant = usualPace] = numbers
  const readable = numbers.length >= 2 && numbers.length <= 3 && numbers.every(Number.isFinite)
  if (!readable || temperature! < -45 || temperature! > 60 || timeConstant < 0 || timeConstant > 172_800)
    throw new Refused(
      400,
      `Change ${i + 1} of the plan, "${change.trim()}", cannot be read.`,
      'plan',
      'Write moment (ms since 1970), °C from -45 to 60, and if wanted seconds, separated by commas.',
    )
  return { at: Math.max(0, (moment! - now) / 1000), temperature: temperature!, timeConstant }
}
