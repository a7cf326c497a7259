import { formatDuration, formatMoment } from '../format.js'
import type { HeatingAnswer } from '../heating/answer.js'
import { nameOf } from '../names.js'
import type { Shop } from '../shop.js'
import type { Reader, Sentence } from './reader.js'

/** When the heating must come on so that machines are fit by the goal, and whether it usually does. */
export const sayHeating = (
  { machines, goal, workClass }: HeatingAnswer,
  shop: Pick<Shop, 'machines' | 'workClasses'>,
  { now, zone }: Reader,
): Sentence => {
  const at = (time: number) => formatMoment(time, now, zone)
  const [first] = machines
  const name = shop.machines.find(({ id }) => id === first?.machine)?.name ?? first?.machine ?? ''
  const what = `${nameOf(shop.workClasses, workClass)} at ${at(goal)}`
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
        ? ` It usually comes on at ${at(usual)}, which is ${enough}.`
        : ` It usually comes on at ${at(usual)}: ${name} would then likely be fit ${late} late.`
  const needed = start!.likely < goal ? `likely on by ${at(start!.likely)}` : 'likely not needed before'
  return {
    text: `${what}: ${needed}; to be safe, ${start!.likely < goal ? 'by' : 'on by'} ${at(start!.earliest)}`,
    more: `${name} needs it first.${usually}`,
  }
}
