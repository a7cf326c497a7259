import { formatDifference, formatDuration, formatPercent } from '../format.js'
import type { UncertaintyCause } from '../reason.js'
import type { Reader, Sentence } from './reader.js'

/** K; a node with less to go has no direction worth naming */
const still = 0.1

const taken = { air: 'that was left in this air', coolant: 'as warm as the coolant', body: '' } as const

/** What would halve the doubt about a part's temperature. */
const surerPart = (cause: Extract<UncertaintyCause, { kind: 'part' }>, within: (of: number) => string): string => {
  if (cause.uncertainty === undefined)
    return cause.soaking
      ? 'Let parts lie beside the machine first, or put a sensor on the part.'
      : 'A sensor on the part would make it surer.'
  const ways = [
    'a sensor on the part or its fixture',
    ...(cause.soakToHalve ? [`another ${formatDuration(cause.soakToHalve)} of soaking there`] : []),
    ...(cause.coolant ? [`flooding it with the ${cause.coolant}, whose temperature is known`] : []),
  ]
  return `Its temperature is known to ${within(cause.uncertainty)}, the largest doubt; halved by ${ways.join(', or by ')}.`
}

/** What an error is most uncertain by, as the beginning of a sentence, and what would make it surer. */
export const sayCause = (cause: UncertaintyCause, { system }: Reader): Sentence => {
  // what is kept is a standard uncertainty; people are told twice that (k = 2)
  const within = (standard: number) => `±${formatDifference(2 * standard, system, 'plain')}`
  const percent = (relative: number) => `±${formatPercent(200 * relative)}`
  switch (cause.kind) {
    case 'part': {
      const as = taken[cause.place] || `as warm as the ${cause.name}`
      return { text: `assumes a part ${as}`, more: surerPart(cause, within) }
    }
    case 'steady temperature':
      return {
        text:
          Math.abs(cause.going) < still
            ? `how far ${cause.name} will warm or cool is not known yet`
            : `${cause.name} is ${cause.going < 0 ? 'cooling' : 'warming'}, how far is not known yet`,
        more: 'Surer within half an hour if nothing new happens.',
      }
    case 'air changes':
      return {
        text: `${cause.name} keeps changing by ${formatDifference(cause.change, system, 'plain')} within a job`,
        more: 'Surer with doors and vents shut, or for a shorter job.',
      }
    case 'placement':
      return {
        text: `${cause.name} measured only to ${within(cause.uncertainty)} at its sensor's place`,
        more: 'Surer with a sensor at a better place, and that said in the shop file.',
      }
    case 'calibration':
      return {
        text: `sensor of ${cause.name} good to ${within(cause.uncertainty)}`,
        more: 'Surer with a better calibrated sensor.',
      }
    case 'batch':
      return {
        text: `sensors of batch ${cause.batch} may all be off by ${within(cause.uncertainty)}`,
        more: 'Surer once one of them has been calibrated.',
      }
    case 'spindle': {
      const known = cause.testedAt === null ? 'stated in the shop file' : 'known from its growth test'
      return {
        text: `growth of the spindle is ${known}${cause.isLive ? '' : ', its speed is not'}`,
        more:
          cause.testedAt === null
            ? 'Surer with a growth test.'
            : 'Surer with longer steps in the growth test, or a newer one.',
      }
    }
    case 'time constant':
      return {
        text: `how fast ${cause.name} settles is known to ${percent(cause.relative)}`,
        more: 'Learned from days on which the air moves; it matters less once all has settled.',
      }
    case 'expansion of the machine':
      return {
        text: `how much the ${cause.element} grows is known to ${percent(cause.relative)}`,
        more: 'Surer the less the machine has grown.',
      }
    case 'expansion of the part':
      return {
        text: `how much ${cause.material} grows is known to ${percent(cause.relative)}`,
        more: 'Surer the nearer the part is to the reference temperature.',
      }
    case 'expansion in the drift':
      return {
        text: `how much the machine moves as it warms or cools is known to ${percent(cause.relative)}`,
        more: 'Surer once the machine has settled.',
      }
    case 'job heat':
      return {
        text: `how much a job warms ${cause.name} is known to ${within(cause.uncertainty)}`,
        more: 'Learned from how it warms when the machine works.',
      }
    case 'bearing':
      return {
        text: 'not clear how far its bearing holds the screw',
        more: 'Surer once screw and casting are equally warm.',
      }
  }
}
