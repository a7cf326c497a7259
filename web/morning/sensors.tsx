import { formatMoment, formatSince } from '../../core/format.js'
import type { MorningCheck } from '../../core/morning/index.js'
import { nameOf } from '../../core/names.js'
import { type Reader, saySensorFault } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import { CardTitle } from '../frame/card.js'
import { Table } from '../frame/table.js'
import { sensors } from '../live/state.js'
import { addressOf } from '../routes.js'
import { TrustMark } from '../shapes/trust.js'
import { unbroken } from '../words.js'
import { rowsOf } from './silent-together.js'

type Kind = MorningCheck['sensors'][number]['kind']

const drawings: Partial<Record<Kind, string>> = {
  // a leaf of a calendar
  overdue: 'M2 4h20v18H2zM2 10h20M7 1v5M17 1v5',
  // a line that stops and goes on
  gap: 'M1 12h7M16 12h7M8 6v12M16 6v12',
  battery: 'M1.5 6h18v12h-18zM19.5 10h3v4h-3M5 10v4',
}

const words: Record<Kind, string> = {
  suspect: 'suspect',
  late: 'late',
  lost: 'lost',
  overdue: 'calibration overdue',
  gap: 'gap in the night',
  battery: 'battery low',
}

const todo: Record<Kind, string> = {
  suspect: 'Check it where it sits',
  late: 'Look whether it still reports',
  lost: 'Check its power and network',
  overdue: 'Have it calibrated; until then its uncertainty counts for more',
  gap: 'Nothing now: it reports again',
  battery: 'Change the battery',
}

const Mark = ({ kind }: { kind: Kind }) => {
  if (kind === 'suspect' || kind === 'late' || kind === 'lost') return <TrustMark trust={kind} />
  return (
    <span class={`trust ${kind === 'gap' ? '' : 'is-late'}`}>
      <svg class="shape" viewBox="0 0 24 24" aria-hidden="true">
        <path d={drawings[kind]} fill="none" stroke="currentColor" stroke-width="2.8" stroke-linejoin="round" />
      </svg>
      {words[kind]}
    </span>
  )
}

/** What is not believed this morning, with what to do about it. */
export const SensorsCard = ({ check, shop, reader }: { check: MorningCheck; shop: Shop; reader: Reader }) => {
  const whenOf = (since: number | null, until: number | null): string => {
    if (since === null) return ''
    if (until === null) return formatSince(since, reader.now, shop)
    return `silent ${formatMoment(since, reader.now, shop)}–${formatMoment(until, reader.now, shop)}`
  }
  /** as the sensor stands now, where that is what the row is about */
  const fault = (id: string, kind: Kind) => {
    const now = sensors.value.get(id)
    return now?.fault && now.trust === kind ? saySensorFault(now.fault, reader) : null
  }
  return (
    <section class="panel morning-card" aria-labelledby="not-believed">
      <CardTitle id="not-believed" text="Not believed, overdue, missing" about="morning#not-believed-overdue-missing">
        <p class="screen-only">
          <a href={addressOf('sensors')}>All sensors</a>
        </p>
      </CardTitle>
      {check.sensors.length === 0 ? (
        <p class="empty">Every sensor is believed, no calibration is overdue, and none was silent in the night.</p>
      ) : (
        <Table
          caption="Sensors that are not believed, overdue or were silent"
          rows={rowsOf(check.sensors)}
          keyOf={([{ sensor, kind }]) => `${sensor} ${kind}`}
          columns={[
            { head: 'What', form: 'nowrap', plain: 'on a card', cell: ([{ kind }]) => <Mark kind={kind} /> },
            {
              head: 'Sensor',
              names: true,
              cell: ([{ sensor }, ...more]) =>
                more.length
                  ? `${more.length + 1} of ${shop.sensors.length} sensors, among them ${nameOf(shop.sensors, sensor)}`
                  : nameOf(shop.sensors, sensor),
            },
            {
              head: 'Why',
              plain: 'on a card',
              cell: ([{ sensor, kind, since, until }]) =>
                unbroken([whenOf(since, until), fault(sensor, kind)?.text ?? ''].filter(Boolean).join(': ')),
            },
            {
              head: 'To do',
              plain: 'on a card',
              cell: ([{ sensor, kind }, ...more]) =>
                more.length
                  ? 'They fell silent together: look at what they share, a gateway, its power, the network'
                  : fault(sensor, kind)?.more || todo[kind],
            },
          ]}
        />
      )}
    </section>
  )
}
