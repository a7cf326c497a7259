import {
  formatDifference,
  formatDuration,
  formatGrowth,
  formatLength,
  formatPercent,
  formatSpeed,
  formatTemperature,
} from '../format.js'
import { lookedBack } from '../judge/fit-by-record.js'
import type { DisturbedBy, MissingNode, Reason } from '../reason.js'
import { overdueRemedy } from '../trust/index.js'
import { sayCause } from './causes.js'
import { at, capital, type Reader, type Sentence, size } from './reader.js'
import { saySensorFault } from './sensor-faults.js'

type Of<Kind extends Reason['kind']> = Extract<Reason, { kind: Kind }>

/** a change smaller than this part of a share is none worth telling */
const noticeable = 0.1

const warmer = (difference: number, { system }: Reader): string =>
  `${formatDifference(Math.abs(difference), system, 'plain')} ${difference < 0 ? 'colder' : 'warmer'}`

const ofTolerance = ({ amount, tolerance }: { amount: number; tolerance: number }): string =>
  `${formatPercent((100 * Math.abs(amount)) / tolerance)} of the tolerance.`

const sayGrowth = (of: Of<'growth'>, reader: Reader): Sentence => {
  const { axis, element, apart, amount, inAnHour, sinceDatum } = of
  const comes = `${formatLength(of.length, reader.system)} comes out ${size(amount, reader)}`
  const long = amount < 0 ? 'short' : 'long'
  const change = Math.abs(inAnHour) - Math.abs(amount)
  const later =
    Math.abs(change) < noticeable * Math.abs(amount)
      ? 'About the same an hour from now'
      : `${capital(size(inAnHour, reader))} an hour from now`
  const text = sinceDatum
    ? `${axis} ${element} ${warmer(apart, reader)} against the part than at the datum: ${comes} ${long}er`
    : `${axis} ${element} ${warmer(apart, reader)} than the part: ${comes} too ${long}`
  return { text, more: `${later} as things stand; nothing once ${element} and part are equally warm.` }
}

const sayWorkpiece = (of: Of<'workpiece'>, reader: Reader): Sentence => {
  const { material, rise, amount, sinceDatum } = of
  const measured = `${formatLength(of.length, reader.system)} along ${of.axis}`
  const long = amount < 0 ? 'short' : 'long'
  const reference = formatTemperature(of.reference, reader.system, 0)
  return sinceDatum
    ? {
        text: `${material} part ${warmer(rise, reader)} than at the datum: ${measured} ${size(amount, reader)} ${long}er`,
        more: 'Less with a part as warm as then, or with zero set again on this one.',
      }
    : {
        text: `${material} part at ${formatTemperature(of.temperature, reader.system)}: ${measured} will measure ${size(amount, reader)} ${long} at ${reference}`,
        more: `Less the nearer the part is to ${reference}.`,
      }
}

const sayMoving = (of: Of<'drift' | 'bending'>, reader: Reader): Sentence => {
  const { axis, name, change, amount, sinceDatum } = of
  const job = `a ${formatDuration(of.duration)} job`
  const bends = of.kind === 'bending' ? ' and bends the column' : ''
  const moved = `${formatGrowth(amount, reader.system)}${of.onDiameter ? ' on the diameter' : ''}`
  if (!sinceDatum)
    return {
      text: `${name} ${change < 0 ? 'cools' : 'warms'} by ${formatDifference(Math.abs(change), reader.system, 'plain')} in ${job}${bends}: ${axis} moves ${moved}`,
      more: 'Less if zero is set again during the job, or once it has settled.',
    }
  const when = of.now ? '' : ` in the course of ${job}`
  return {
    text: `${name} ${warmer(change, reader)} than at the datum${when}${bends}: ${axis} ${of.now ? 'has moved' : 'moves to'} ${moved}`,
    more: 'Nothing of it is left when zero is set now.',
  }
}

const saySpindle = (of: Of<'spindle'>, reader: Reader): Sentence => {
  const { axis, amount, sinceDatum, isLive, isBeyond, testedAt } = of
  const moved = `${formatGrowth(amount, reader.system)}${of.onDiameter ? ' on the diameter' : ''}`
  const job = `a ${formatDuration(of.duration)} job at up to ${formatSpeed(of.speed)}`
  const basis = [
    isLive ? '' : 'Its speed does not arrive, so that the worst from cold to warm counts.',
    isBeyond ? 'That speed lies beyond what was tested: this is a guess.' : '',
    testedAt === null ? 'By the growth that the shop file states.' : '',
  ]
  return {
    text: sinceDatum
      ? `growth of the spindle since the datum and in ${job}: ${axis} moves to ${moved}`
      : `growth of the spindle in ${job}: ${axis} moves ${moved}`,
    more: [...basis, 'Less once it is warm from that speed, and tools are probed warm, late before the cut.']
      .filter(Boolean)
      .join(' '),
  }
}

const sayUncertainty = (of: Of<'uncertainty'>, reader: Reader): Sentence => {
  const { text, more } = sayCause(of.cause, reader)
  return { text: `${text}: ${of.axis} good to ±${size(of.amount, reader)} only`, more }
}

/** Why nothing is known of a node. */
export const sayMissing = ({ name, why }: MissingNode, reader: Reader): Sentence => {
  const not = `${name} is not known`
  switch (why.kind) {
    case 'sensor': {
      const { text, more } = saySensorFault(why.fault, reader)
      return { text: `${not}. Sensor ${why.sensor}: ${text}`, more }
    }
    case 'silent': {
      const { more } = saySensorFault({ kind: 'silent', interval: 0 }, reader)
      return { text: `${not}: sensor ${why.sensor} silent since ${at(why.since, reader)}`, more }
    }
    case 'no temperature':
      return { text: `${not}: no temperature yet from sensor ${why.sensor}`, more: 'It comes with the next readings.' }
    case 'no sensor':
      return { text: `${not}: it has no sensor`, more: 'Give it one in the shop file, or a stand-in.' }
    case 'surroundings':
      return {
        text: `${not}: nothing tells of the air or coolant that it follows`,
        more: 'The Sensors page says which sensor there is missing.',
      }
    case 'watched':
      return {
        text: `${not} yet: watched only${why.since === null ? ' just now' : ` since ${at(why.since, reader)}`}`,
        more: 'Ten minutes of readings are needed.',
      }
  }
}

const sayCalibration = ({ overdue, count, factor }: Of<'calibration'>): Sentence => {
  const names = overdue.map(({ name, days }) => `${name} (${days} d)`).join(', ')
  const more = count > overdue.length ? ` and ${count - overdue.length} more` : ''
  const times = `${factor.toFixed(1)} times`
  const counts = count > 1 ? `their uncertainty counts up to ${times}` : `its uncertainty counts ${times}`
  return { text: `calibration overdue: ${names}${more}; ${counts}`, more: overdueRemedy }
}

const say = (reason: Exclude<Reason, { kind: 'told' }>, reader: Reader): Sentence => {
  switch (reason.kind) {
    case 'growth':
      return sayGrowth(reason, reader)
    case 'workpiece':
      return sayWorkpiece(reason, reader)
    case 'drift':
    case 'bending':
      return sayMoving(reason, reader)
    case 'spindle':
      return saySpindle(reason, reader)
    case 'uncertainty':
      return sayUncertainty(reason, reader)
    case 'pretension':
      return {
        text: `${reason.axis} screw ${formatDifference(reason.excess, reader.system, 'plain')} warmer than its pretension can hold: ${reason.axis} grows with what it warms from there on`,
        more: 'It is held again once it has cooled by so much.',
      }
    case 'missing':
      return sayMissing(reason, reader)
    case 'zero':
      return {
        text: reason.lacking ? `the datum has no temperature of ${reason.lacking.join(', ')}` : 'no zero recorded',
        more: 'Set the datum when the machine is next zeroed.',
      }
    case 'stand-in':
      return {
        text: `${reason.name} is taken from ${reason.from}, good to ±${formatDifference(2 * reason.uncertainty, reader.system, 'plain')}`,
        more: 'Surer with a believed sensor of its own.',
      }
    case 'waiting':
      return {
        text: `within limits since ${at(reason.since, reader)}; fit at ${at(reason.until, reader)} if it stays so`,
        more: 'Nothing to do but wait.',
      }
    case 'restless':
      return {
        text: `within limits, but ${reason.left <= 0 ? 'not by enough' : `with ${formatPercent(reason.left)} of the tolerance to spare`}; within an hour it moves by up to ${formatPercent(reason.room)}`,
        more: 'It is fit once that much is to spare, so that it stays so.',
      }
    case 'poor record':
      if (reason.of < lookedBack.least)
        return {
          text: 'no time is named: too little has been seen here yet',
          more: `Times are named once ${lookedBack.least} waits have been followed to their end; ${reason.of} were so far.`,
        }
      if (reason.isFirstDay)
        return {
          text: 'no time is named: waits have been followed for less than a day',
          more: 'Those of one morning do not say what the evening does. Times are named from the second day on.',
        }
      return {
        text: `no time is named: of the last ${reason.of} that were found here, ${reason.kept} came true`,
        more: 'One is named again once those found come true more often.',
      }
    case 'no time':
      return {
        text: 'no time is named: too much may happen until then',
        more: 'As things usually go it comes to be fit, but no time could be named that would come true nine times of ten.',
      }
    case 'calibration':
      return sayCalibration(reason)
  }
}

/** "Dock door open 12 min" */
const sayDisturbance = ({ name, from, to }: DisturbedBy, { now }: Reader): string => {
  const lasting = (since: number, until: number) => formatDuration(Math.max(0, until - since) / 1000)
  return to === null
    ? `${name} open ${lasting(from, now)}`
    : `${name} was open ${lasting(from, to)}, shut ${lasting(to, now)} ago`
}

/**
 * A reason as sentences, in the reader's units: what is so, how much of the tolerance that is, what would change it.
 * What was recorded as a sentence stays as it was shown.
 */
export const sayReason = (reason: Reason, reader: Reader): Sentence => {
  if (reason.kind === 'told') return { text: reason.text, more: '' }
  const { text, more } = say(reason, reader)
  const disturbance = 'disturbance' in reason ? reason.disturbance : undefined
  return {
    text: capital(disturbance ? `${sayDisturbance(disturbance, reader)}: ${text}` : text),
    more: [
      'tolerance' in reason ? ofTolerance(reason) : '',
      disturbance?.to === null ? `Shut the ${disturbance.name}.` : '',
      more,
    ]
      .filter(Boolean)
      .join(' '),
  }
}
