import { formatClock, formatDifference, formatDuration, formatMoment, formatRate } from '../../core/format.js'
import type { MorningCheck, Night } from '../../core/morning/index.js'
import { nameOf } from '../../core/names.js'
import { type Reader, sayHeating, sayUnusual } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import { CardTitle } from '../frame/card.js'
import { addressOf } from '../routes.js'
import { unbroken } from '../words.js'
import { NightPicture } from './night-picture.js'
import { mostFailed } from './one-sheet.js'

interface Props {
  shop: Shop
  reader: Reader
}

const Said = ({ all, shop, reader, none }: Props & { all: readonly Night['unusual'][number][]; none: string }) =>
  all.length === 0 ? (
    <p class="quiet">{none}</p>
  ) : (
    <ul>
      {all.map((each, i) => {
        const { text, more } = sayUnusual(each, shop, reader)
        return (
          <li key={i}>
            <strong>{unbroken(text)}.</strong> {unbroken(more)}
          </li>
        )
      })}
    </ul>
  )

/** How much each air moved, how fast, and how long it was outside its limits. */
const Figures = ({ night, shop, reader }: Props & { night: Night }) => (
  <ul>
    {night.airs.map(({ name, swing, fastest, outside }) => (
      <li key={name}>
        <strong>{name}</strong>:{' '}
        {unbroken(
          [
            swing === null ? 'swing not known' : `swing ${formatDifference(swing, reader.system, 'plain')}`,
            fastest && `fastest ${formatRate(fastest.rate, reader.system)} at ${formatClock(fastest.at, shop)}`,
            outside !== null &&
              (outside < 60 ? 'never outside its limits' : `outside its limits for ${formatDuration(outside)}`),
          ]
            .filter(Boolean)
            .join(', '),
        )}
      </li>
    ))}
    {night.machines.map(
      ({ machine, outside }) =>
        outside !== null &&
        outside >= 60 && (
          <li key={machine}>
            <strong>{nameOf(shop.machines, machine)}</strong>: outside its surroundings’ limits for{' '}
            {formatDuration(outside)}
          </li>
        ),
    )}
  </ul>
)

const Failed = ({ night: { failed }, shop, reader }: Props & { night: Night }) => {
  if (failed.length === 0) return null
  const at = (moment: number) => formatMoment(moment, reader.now, reader.zone)
  return (
    <>
      <h3>Sensors that failed</h3>
      <ul>
        {failed.slice(0, mostFailed).map(({ sensor, from, to }) => (
          <li key={`${sensor} ${from}`}>
            <strong>{nameOf(shop.sensors, sensor)}</strong>{' '}
            {to === null ? `since ${at(from)}` : `${at(from)}–${at(to)}`}
          </li>
        ))}
        {failed.length > mostFailed && <li>and {failed.length - mostFailed} more</li>}
      </ul>
    </>
  )
}

/** When the heating must come on for the next shift. */
const NextHeating = ({ heating, shop, reader }: Props & Pick<MorningCheck, 'heating'>) => {
  if (!heating) return null
  const { text, more } = sayHeating(heating, shop, reader)
  return (
    <p>
      <strong>
        <a href={addressOf('heating')}>Heating</a> for {unbroken(text)}.
      </strong>{' '}
      {unbroken(more)}
    </p>
  )
}

/** The night in one picture, and what was unusual in words. */
export const NightCard = ({
  check: { night, nightAwaited, heating },
  shop,
  reader,
}: Props & { check: MorningCheck }) => {
  const growth = night?.unusual.filter(({ kind }) => kind === 'growth') ?? []
  const shopwide = night?.unusual.filter(({ kind }) => kind !== 'growth') ?? []
  const nights = night?.airs.find(({ usual }) => usual)?.nights ?? 0
  const card = { shop, reader }
  return (
    <section class="panel morning-card" aria-labelledby="night">
      <CardTitle id="night" text="The night" about="morning#the-night">
        {night && (
          <p class="quiet">
            {formatMoment(night.from, reader.now, shop)} to {formatClock(night.to, shop)};{' '}
            {nights > 0
              ? `shaded: the usual night (nine of ten of the last ${nights})`
              : 'what a usual night is, is not known yet'}
          </p>
        )}
      </CardTitle>
      <NextHeating heating={heating} {...card} />
      {night ? (
        <div class="night-and-words">
          <NightPicture night={night} shop={shop} />
          <div class="night-words">
            <h3>What was unusual</h3>
            <Said
              all={shopwide}
              none={nights > 0 ? 'Nothing: a night like the others.' : 'Not known before a few nights are on record.'}
              {...card}
            />
            <h3>What it did to the machines</h3>
            <Said all={growth} none="No machine moved more than it usually does." {...card} />
            <h3>How the air moved</h3>
            <Figures night={night} {...card} />
            <Failed night={night} {...card} />
          </div>
        </div>
      ) : (
        <p class="empty">
          {nightAwaited
            ? 'The night is being looked back on. It appears here by itself.'
            : 'Nothing is stored of a night yet: it is shown from the first morning after the last shift’s end.'}
        </p>
      )}
    </section>
  )
}
