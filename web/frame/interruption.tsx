import { formatSince, type Zone } from '../../core/format.js'
import type { Interruption as Kind } from '../live/freshness.js'

/** What a page says when its data has stopped: the fact in big letters, then what it means and what to do. */
const interruptionWords = (kind: Kind, now: number | null, zone: Zone): { fact: string; meaning: string } => {
  const since = (moment: number | null) => (moment === null ? '' : ` ${formatSince(moment, now ?? moment, zone)}`)
  switch (kind.kind) {
    case 'connecting':
      return { fact: 'Connecting', meaning: 'Waiting for the first news from the service.' }
    case 'service':
      return {
        fact: `No data${since(kind.since)}`,
        meaning:
          'The service does not answer: it may be stopped, or the network between it and this screen is down. This page comes back by itself.',
      }
    case 'broker':
      return {
        fact: `No data${since(kind.since)}`,
        meaning: 'The MQTT broker is away, so no reading can arrive. The service keeps trying to reach it.',
      }
    case 'unstored':
    case 'trouble':
      return { fact: `No data${since(kind.since)}`, meaning: kind.why }
    case 'readings':
      return {
        fact: `No data${since(kind.since)}`,
        meaning:
          'Readings have stopped: service and broker are there, but no sensor reports. Look at the sensors’ gateway, its power and its network.',
      }
    case 'nothing yet':
      return {
        fact: 'No reading yet',
        meaning:
          'The service is running, but no sensor has reported. Check the topics in the shop file against the broker.',
      }
    case 'filling':
      return {
        fact: `Filling, ${Math.floor(kind.part * 100)} %`,
        meaning: 'The demo is inventing the days before now. Verdicts come when it has caught up.',
      }
  }
}

interface Props {
  kind: Kind
  now: number | null
  zone: Zone
  /** over everything on the wall, a band above the content elsewhere */
  form: 'over everything' | 'band'
}

export const Interruption = ({ kind, now, zone, form }: Props) => {
  const { fact, meaning } = interruptionWords(kind, now, zone)
  return (
    <div class={form === 'band' ? 'interruption is-band' : 'interruption'} role="alert">
      <div class="interruption-body">
        <p class="interruption-fact">{fact}</p>
        {kind.kind === 'filling' && (
          <progress max={1} value={kind.part} aria-label="History filled">
            {Math.floor(kind.part * 100)} %
          </progress>
        )}
        <p>{meaning}</p>
      </div>
    </div>
  )
}

/** What makes some readings go missing while the others arrive, and what to do. */
export const Troubles = ({ all }: { all: readonly string[] }) => (
  <div class="interruption is-band" role="alert">
    {all.map(why => (
      <p key={why}>{why}</p>
    ))}
  </div>
)
