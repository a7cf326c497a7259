import type { ComponentChildren } from 'preact'
import { useEffect, useMemo, useState } from 'preact/hooks'
import { formatDifference, formatGaugeError, formatMoment, formatRate, formatTemperature } from '../../core/format.js'
import type { Shop } from '../../core/shop.js'
import { soakPart } from '../../core/soak/index.js'
import { query, setQuery } from '../address.js'
import { Card } from '../frame/card.js'
import { fieldMoment, readMoment } from '../frame/field-moment.js'
import { Heading, shopPage } from '../frame/frame.js'
import { MomentField } from '../frame/moment-field.js'
import { now, shopState } from '../live/state.js'
import { units } from '../preferences.js'
import { type Asked, partOf, readAsked } from './asked.js'
import { Assumed } from './assumed.js'
import { SoakCourse } from './course.js'
import { placeWords, SoakForm } from './form.js'
import { readyWords, toldTimes } from './ready.js'
import './soak.css'
import { Button } from '../frame/button.js'

/** K/h; air that moves faster than this is worth a word beside a time that holds for air that stays */
const movingAir = 0.3

const iso = (moment: number) => new Date(moment).toISOString().replace(/:\d\d\.\d+Z$/, 'Z')

/** When the soak began, and how to say so. */
const Begun = ({ since, moment, zone }: { since: number | null; moment: number; zone: Shop }) => {
  const begin = (at: number | null) => setQuery({ since: at === null ? null : iso(at) })
  const [typed, setTyped] = useState('')
  useEffect(() => setTyped(since === null ? '' : fieldMoment(since, zone)), [since, zone])
  if (since === null)
    return (
      <div class="fields is-close">
        <Button main onClick={() => begin(moment)}>
          It begins now
        </Button>
        <p class="quiet">Until then the times are for a soak that begins at this moment.</p>
      </div>
    )
  const done = () => {
    const at = readMoment(typed, zone)
    if (at !== null) begin(at)
  }
  return (
    <div class="fields is-close">
      <MomentField label="It began" zone={zone} value={typed} onChange={setTyped} onDone={done} />
      <Button onClick={() => begin(null)}>It has not begun</Button>
    </div>
  )
}

const Handling = ({ start, hot }: { start: number; hot: boolean }) => (
  <section class="panel" aria-labelledby="handling">
    <h2 id="handling">While it soaks</h2>
    <ul class="soak-care">
      <li>
        Do not touch it with bare hands: a hand is at 30 °C or more, and a minute of it can undo an hour. Use gloves or
        tongs, and lay it on three points or on the plate, not beside others that come from elsewhere.
      </li>
      <li>Keep it out of the sun, from under lamps, and out of draughts from doors and vents.</li>
      {start < 10 && <li>A cold part draws water from the air: let it dry, wipe it, and guard it against rust.</li>}
      {hot && <li>A part above about 45 °C can burn: wait, or handle it as your shop’s rules say.</li>}
      <li>
        Lift heavy parts with the gear and the people that your shop’s rules ask for. Keep out of machines that can
        move: lock out first, as the machine builder says.
      </li>
    </ul>
  </section>
)

interface AnswerProps {
  asked: Asked
  /** stands behind the answer, so that this comes first on a phone and for those who hear the page */
  form: ComponentChildren
  surroundings: number
  moment: number
  shop: Shop
}

const Answer = ({ asked, form, surroundings, moment, shop }: AnswerProps) => {
  const system = units.value
  const part = partOf(asked)
  const { start, place, allowed } = asked
  const soak = useMemo(
    () => soakPart(part, start, { place, course: [{ after: 0, temperature: surroundings }] }, allowed),
    [JSON.stringify([part, start, place, surroundings, allowed])],
  )
  const told = toldTimes(soak.ready)
  const since = asked.since ?? moment
  const passed = (moment - since) / 1000
  const { fact, interval } = readyWords(told, Math.max(passed, 0))
  const at = (after: number) => formatMoment(since + after * 1000, moment, shop)
  const lasting = asked.material.alpha * asked.length * (surroundings - shop.referenceTemperature)
  const rate = shopState.value?.airRate ?? 0
  return (
    <>
      <Card class="soak-answer" id="answer" text="When it is ready" about="soaking#the-answer">
        {/* a soak that counts down is not read out every minute */}
        <div role={asked.since === null ? 'status' : undefined}>
          <p class="soak-fact">{fact}</p>
          <p class="soak-interval">{interval}</p>
        </div>
        {told.latest > 0 && (
          <p class="soak-clock">
            likely at <strong>{at(told.likely)}</strong>, at the earliest {at(told.earliest)}, at the latest{' '}
            <strong>{at(told.latest)}</strong>
          </p>
        )}
        <Begun since={asked.since} moment={moment} zone={shop} />
        <p>
          {placeWords[place]} at {formatTemperature(surroundings, system)}, from {formatTemperature(start, system)}:
          until its length is within {formatGaugeError(allowed, system)} of what it comes to. That is a temperature
          within {formatDifference(soak.allowedDifference, system, 'plain', soak.allowedDifference < 1 ? 3 : 1)} of what
          surrounds it.
        </p>
        {Math.abs(lasting) > allowed / 2 && (
          <p>
            However long it soaks, at {formatTemperature(surroundings, system)} it stays{' '}
            {formatGaugeError(Math.abs(lasting), system)} {lasting > 0 ? 'longer' : 'shorter'} than at{' '}
            {formatTemperature(shop.referenceTemperature, system, 0)}. Correct for that, or compare it with a master of
            its own material.
          </p>
        )}
        {asked.place !== 'flood coolant' && Math.abs(rate) > movingAir && (
          <p>
            The shop air is moving by {formatRate(rate, system)}. The times hold for air that stays as it is; behind air
            that moves, a part stays behind.
          </p>
        )}
      </Card>
      {form}
      <Card id="over-time" text="Remaining error" about="soaking#the-answer">
        <SoakCourse
          soak={soak}
          told={told}
          allowed={allowed}
          since={Math.floor(since / 60_000) * 60_000}
          now={moment}
          zone={shop}
        />
      </Card>
      <Card id="assumed" text="What was assumed" about="soaking#what-it-rests-on">
        <Assumed soak={soak} material={asked.material} />
      </Card>
      <Handling start={start} hot={Math.max(start, surroundings) > 43} />
    </>
  )
}

const Content = ({ shop }: { shop: Shop }) => {
  const asked = readAsked(query.value)
  // a page that does not jump with every hundredth of a kelvin
  const known = shopState.value?.air ?? null
  const air = known === null ? null : Math.round(known * 10) / 10
  const surroundings = asked.surroundings ?? air
  const moment = now.value
  const form = (
    <section key="form" class="panel soak-asked" aria-label="Part and surroundings">
      <SoakForm asked={asked} air={air} />
    </section>
  )
  return (
    <>
      <Heading text="Soak">How long a part or gauge needs until it has the temperature of what surrounds it</Heading>
      <div class="stack soak">
        {surroundings !== null && moment !== null ? (
          <Answer asked={asked} form={form} surroundings={surroundings} moment={moment} shop={shop} />
        ) : (
          <>
            <p class="empty" role="status">
              {moment === null ? 'Asking the service for the time …' : 'Say how warm it is around the part.'}
            </p>
            {form}
          </>
        )}
      </div>
    </>
  )
}

export const SoakPage = shopPage('Soak', Content)
