import { nearestNames } from '../../core/nearest.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { Parsed } from '../../core/units.js'
import { quoted } from '../table/index.js'

// What single cells of a row say, each by itself.

export interface Wrong {
  problem: string
  remedy: string
}
export const wrong = (problem: string, remedy: string): Wrong => ({ problem, remedy })

/** A machine of the shop by its name or id. */
export const machineIn = ({ machines }: Pick<Shop, 'machines'>, text: string): Parsed<Machine> => {
  if (text === '') return wrong('no machine is named', 'write the machine on which it was cut')
  const found = machines.find(({ id, name }) => [id, name].some(each => each.toLowerCase() === text.toLowerCase()))
  if (found) return { value: found }
  const known = machines.map(({ name }) => name)
  const [near] = nearestNames(text, known, 1)
  return wrong(
    `${quoted(text)} is not a machine of this shop`,
    near ? `did you mean ${near}?` : `write one of ${known.slice(0, 20).join(', ')}`,
  )
}

/** One of some words; `otherwise` where nothing is written. */
export const choice = <const T extends string>(written: string, choices: readonly T[], otherwise: T): Parsed<T> => {
  const text = written.toLowerCase()
  if (text === '') return { value: otherwise }
  const found = choices.find(
    each => each === text || (each === 'larger' && text === '+') || (each === 'smaller' && text === '-'),
  )
  return found
    ? { value: found }
    : wrong(
        `${quoted(written)} is not one of the choices`,
        `write ${choices.join(' or ')}, or nothing for ${otherwise}`,
      )
}

/** An axis of a machine by its name; null where somebody says that it is not known. */
export const axisIn = ({ axes, name }: Machine, text: string): Parsed<Machine['axes'][number] | null> => {
  if (/^(?:unknown|not known|\?)$/i.test(text)) return { value: null }
  const found = axes.find(({ id }) => id.toLowerCase() === text.toLowerCase())
  return found
    ? { value: found }
    : wrong(
        `${quoted(text)} is not an axis of ${name}`,
        `write one of ${axes.map(({ id }) => id).join(', ')}, or nothing where it is not known`,
      )
}
