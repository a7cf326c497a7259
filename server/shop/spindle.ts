import type { SpindleSaid } from '../../core/shop.js'
import { bounded, choice, duration, or, positive, speed, uncertainDuration, uncertainLength } from './readers.js'
import { checked, section, value } from './section.js'
import { axisOf, type Place } from './thermal-loop.js'

/** relative standard uncertainties of what is stated without any; judgement, no source */
const usual = { growth: 0.3, timeConstant: 0.5 }

const written = (place: Place) =>
  section({
    axis: value(axisOf(place)),
    sign: value(or(choice('+', '-'), '-')),
    'work speed': value(or(positive(speed, '8000 1/min'), undefined)),
    'highest speed': value(or(positive(speed, '12000 1/min'), undefined)),
    'warm-up step': value(or(positive(speed, '3000 1/min'), undefined)),
    'warm-up hold': value(or(positive(duration, '5 min'), undefined)),
    growth: value(
      or(
        bounded(uncertainLength, each => Math.abs(each.value) <= 0.002, 'write at most 2 mm, for example 40 µm ± 30 %'),
        undefined,
      ),
    ),
    'time constant': value(
      or(
        bounded(uncertainDuration, each => each.value > 0, 'write a duration above zero, for example 25 min ± 50 %'),
        undefined,
      ),
    ),
  })

/**
 * What is said of a spindle: the axis it moves, and at which speed jobs are taken to run it. Growth can be stated where no
 * growth test is on record.
 */
export const spindle = (place: Place) =>
  checked(written(place), (read, say): SpindleSaid => {
    const { growth, timeConstant, highestSpeed: highest, warmUpStep: step, warmUpHold: hold, ...own } = read
    if ((growth === undefined) !== (timeConstant === undefined))
      return say('growth and its time constant are stated together', {
        remedy: 'write both, for example growth: 40 µm ± 30 % and time constant: 25 min ± 50 %, or neither',
      })
    if ((step === undefined) !== (hold === undefined))
      return say('warm-up step and warm-up hold are stated together', {
        remedy: 'write both, for example warm-up step: 3000 1/min and warm-up hold: 5 min, or neither',
      })
    if (growth && own.workSpeed === undefined)
      return say('the speed at which it grows so far is not stated', {
        remedy: 'write work speed: 8000 1/min beside growth',
      })
    return {
      ...own,
      sign: own.sign === '+' ? 1 : -1,
      ...(highest !== undefined && { highest }),
      ...(step !== undefined && hold !== undefined && { warmUp: { step, hold } }),
      ...(growth &&
        timeConstant && {
          stated: {
            growth: growth.value,
            growthUncertainty: growth.relativeUncertainty ?? usual.growth,
            timeConstant: timeConstant.value,
            timeConstantUncertainty: timeConstant.relativeUncertainty ?? usual.timeConstant,
          },
        }),
    }
  })
