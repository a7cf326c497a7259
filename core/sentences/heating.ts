import { formatDuration } from '../format.js'
import type { HeatingAnswer } from '../heating/answer.js'
import { nameOf } from '../names.js'
import type { Shop } from '../shop.js'
import { at, type Reader, type Sentence } from './reader.js'

/** When the heating must come on so that machines are fit by the goal, and whether it usually does. */
export const sayHeating = (
  { machines, goal, workClass }: HeatingAnswer,
  shop: Pick<Shop, 'machines' | 'workClasses'>,
  reader: Reader,
): Sentence => {
  const [first] = machines
  const name = nameOf(shop.machines, first?.machine ?? '')
  const what = `${nameOf(shop.workClasses, workClass)} at ${at(goal, reader)}`
  const states = machines.map(({ state }) => state)
  if (first?.state === 'too late')
    return { text: `${what}: too late`, more: `${name} will not be fit by then, even if the heating came on now.` }
  if (first?.state !== 'start') {
    const learned = states.some(state => state === 'any time' || state === 'not by heating')
    return !learned && states.includes('seen too seldom')
      ? {
          text: `${what}: not known`,
          more: 'Too few setbacks have been seen yet to say when the heating must come on.',
        }
      : { text: `${what}: no machine needs the heating before`, more: 'As far as is known now.' }
  }
  const { start, usual, waiting } = first
  const late = waiting === null ? 'more than 12 h' : formatDuration(waiting)
  const enough =
    usual !== null && usual <= start!.earliest ? 'early enough' : waiting === 0 ? 'likely early enough' : ''
  const usually =
    usual === null
      ? ''
      : enough
        ? ` It usually comes on at ${at(usual, reader)}, which is ${enough}.`
        : ` It usually comes on at ${at(usual, reader)}: ${name} would then likely be fit ${late} late.`
  const needed = start!.likely < goal ? `likely on by ${at(start!.likely, reader)}` : 'likely not needed before'
  return {
    text: `${what}: ${needed}; to be safe, ${start!.likely < goal ? 'by' : 'on by'} ${at(start!.earliest, reader)}`,
    more: `${name} needs it first.${usually}`,
  }
}
