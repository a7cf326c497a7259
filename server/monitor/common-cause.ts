import type { Shop } from '../../core/shop.js'
import type { ClassState, CommonCause, MachineState } from '../../core/state.js'
import { mean } from '../../core/statistics/index.js'

// Judgement, no source
/** K/h; slower, the air is steady */
const moves = 0.15
/** K; nearer to the reference temperature, the air is no cause by itself */
const off = 1
/** machines; what fewer have in common is no matter of the shop */
const least = 3

type Kind = CommonCause['kind']

/** Whether the air can be what keeps a machine from being fit: no door, and nothing that is missing. */
const byAir = ({ verdict, reasons }: ClassState): boolean => {
  if (verdict !== 'settling' && verdict !== 'unfit') return false
  const main = reasons.find(({ kind }) => kind !== 'calibration')
  if (!main || ['waiting', 'restless', 'pretension'].includes(main.kind)) return false
  return !('disturbance' in main && main.disturbance)
}

interface Air {
  machine: string
  /** °C */
  temperature: number
  /** K/h */
  rate: number
}

/** What one machine's air does that the others' may do, too: to move says more than to be off. */
const kindsOf = ({ temperature, rate }: Air, reference: number): Kind[] => {
  const found: Kind[] = []
  if (Math.abs(rate) >= moves) found.push(rate < 0 ? 'air falling' : 'air rising')
  if (Math.abs(temperature - reference) >= off) found.push(temperature < reference ? 'air cold' : 'air warm')
  return found
}

/**
 * What most machines have in common that are not fit for a work class: half of the shop at least, and three of four of
 * those that are not fit, in air that moves the same way or is off to the same side.
 *
 * @param states of all machines
 * @returns null when they have nothing in common
 */
export const commonCauseOf = (
  shop: Shop,
  workClass: string,
  states: readonly MachineState[],
): Omit<CommonCause, 'usual'> | null => {
  const unfit: Air[] = []
  let notFit = 0
  for (const { machine, classes, nodes } of states) {
    const state = classes.find(c => c.workClass === workClass)
    if (!state || state.verdict === 'fit' || state.verdict === 'unknown') continue
    notFit += 1
    const of = shop.machines.find(({ id }) => id === machine)
    const air = nodes.find(({ node }) => of?.nodes.find(({ id }) => id === node)?.kind === 'air')
    if (byAir(state) && air && air.temperature !== null)
      unfit.push({ machine, temperature: air.temperature, rate: air.rate ?? 0 })
  }
  const reference = shop.referenceTemperature
  const needed = Math.max(least, states.length / 2, 0.75 * notFit)
  for (const kind of ['air falling', 'air rising', 'air cold', 'air warm'] as const) {
    const through = unfit.filter(air => kindsOf(air, reference).includes(kind))
    if (through.length < needed) continue
    return {
      workClass,
      kind,
      machines: through.map(({ machine }) => machine),
      of: states.length,
      // to what is shown: a tenth more is no news for the stream
      air: Math.round(10 * mean(through.map(({ temperature }) => temperature))) / 10,
      reference,
    }
  }
  return null
}
