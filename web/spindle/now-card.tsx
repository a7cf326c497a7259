import { formatDateTime, formatFineGrowth, formatSpeed, type Zone } from '../../core/format.js'
import type { SpindleState } from '../../core/state.js'
import { CardTitle } from '../frame/card.js'
import { units } from '../preferences.js'
import { addressOf } from '../routes.js'
import './spindle.css'

interface Props {
  machine: string
  spindle: SpindleState
  zone: Zone
  /** shown on another page than that of the tests */
  elsewhere?: boolean
}

/** What is known of the spindle now: how far it has grown by its speed, and what verdicts take of it. */
export const SpindleNow = ({ machine, spindle, zone, elsewhere = false }: Props) => {
  const system = units.value
  const { growth, standardUncertainty, speed, steadyGrowth, workSpeed, workGrowth, isBeyond, axis, testedAt } = spindle
  const known = growth !== null && standardUncertainty !== null && speed !== null
  return (
    <section class="panel" aria-labelledby="spindle-now">
      <CardTitle id="spindle-now" text="Spindle now" about="spindle#the-spindle-now">
        <p class="quiet">
          {testedAt === null
            ? 'By the growth that the shop file states'
            : `By the test of ${formatDateTime(testedAt, zone)}`}
          . {elsewhere && <a href={addressOf('spindle', machine)}>Its tests</a>}
        </p>
      </CardTitle>
      {known ? (
        <p>
          <strong class="spindle-figure">
            {formatFineGrowth(growth, system)} ± {formatFineGrowth(2 * standardUncertainty, system, 'plain')}
          </strong>{' '}
          longer than cold, {speed === 0 ? 'at rest' : `turning at ${formatSpeed(speed)}`}; if it goes on so, it heads
          for {formatFineGrowth(steadyGrowth, system)}.
        </p>
      ) : (
        <p>
          Its speed does not arrive, so that its growth now is not known. Verdicts take the worst: from cold to warm at{' '}
          {formatSpeed(workSpeed)}, or back.
        </p>
      )}
      <p class="quiet">
        It counts on {axis}, as part of the thermal loop. A job begun now is taken to run at up to{' '}
        {formatSpeed(workSpeed)}, where it would settle at {formatFineGrowth(workGrowth, system)}, unless its work class
        says another speed.
        {isBeyond && ' It turns faster now than was tested: what is said of it is a guess.'}
      </p>
    </section>
  )
}
