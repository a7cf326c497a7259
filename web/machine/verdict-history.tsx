import { useState } from 'preact/hooks'
import { formatDateTime, formatPercent, formatShare } from '../../core/format.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { ShownVerdict } from '../../server/http/schemas/answers.js'
import { go } from '../address.js'
import { asCsvInUnits, machinePath } from '../api.js'
import { useOverSpan } from '../charts/over-span.js'
import type { Span } from '../charts/span.js'
import { heights } from '../charts/verdict-lane.js'
import { Button } from '../frame/button.js'
import { CsvLink } from '../frame/csv-link.js'
import { happenedAddress, happenedIn, longestHappened } from '../frame/happened.js'
import { Problem } from '../frame/problem.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { VerdictMark, verdictWords } from '../shapes/verdict.js'
import { reasonInWords, unbroken } from '../words.js'
import { type Band, verdictBands, verdictShares } from './bands.js'

/** ms; how far before the span the verdict that stood at its beginning is looked for */
const before = 31 * 86_400_000

/** rows of the list before it is asked for whole, and at most */
const few = 12
const many = 500

const percent = (part: number): string => `${(part * 100).toFixed(3)}%`

interface BandProps {
  bands: readonly Band[]
  from: number
  to: number
  name: string
  onBand: (band: Band) => void
}

const BandRow = ({ bands, from, to, name, onBand }: BandProps) => {
  const words = verdictShares(bands)
    .map(({ verdict, part }) => `${verdictWords[verdict].toLowerCase()} ${formatShare(part)}`)
    .join(', ')
  return (
    <div class="band-row">
      <svg class="band" role="img" aria-label={`${name}: ${words || 'no record in this span'}`}>
        {bands.map(band => (
          // biome-ignore lint/a11y/noStaticElementInteractions: by keyboard the same page is reached by the links above and in the list
          <rect
            key={band.from}
            class={`band-${band.verdict}`}
            x={percent((band.from - from) / (to - from))}
            width={percent((band.to - band.from) / (to - from))}
            y={`${100 - 100 * heights[band.verdict]}%`}
            height={`${100 * heights[band.verdict]}%`}
            onClick={() => onBand(band)}
          >
            <title>{verdictWords[band.verdict]}: what happened then?</title>
          </rect>
        ))}
      </svg>
      <p class="band-name">
        <strong>{name}</strong> <span class="quiet">{unbroken(words || 'no record in this span')}</span>
      </p>
    </div>
  )
}

interface ListProps {
  machine: Machine
  changes: readonly ShownVerdict[]
  shop: Shop
  now: number
}

/** ms; so much about a change tells what led to it and what came of it */
const about = 90 * 60_000

const List = ({ machine, changes, shop, now }: ListProps) => {
  const [whole, setWhole] = useState(false)
  const classNames = new Map(shop.workClasses.map(c => [c.id, c.name]))
  const newest = [...changes].reverse().slice(0, whole ? many : few)
  return (
    <>
      <Table
        caption="Verdict changes, newest first"
        rows={newest}
        keyOf={({ at, workClass }) => `${at} ${workClass}`}
        columns={[
          {
            head: 'Time',
            form: 'nowrap',
            plain: 'on a card',
            cell: ({ at, workClass }) => (
              <a
                href={happenedAddress(machine.id, at - about, Math.min(at + about, now - 1))}
                aria-label={`What happened: ${classNames.get(workClass) ?? workClass}, ${formatDateTime(at, shop)}`}
              >
                {formatDateTime(at, shop)}
              </a>
            ),
          },
          { head: 'Work class', plain: 'on a card', cell: ({ workClass }) => classNames.get(workClass) ?? workClass },
          { head: 'Verdict', plain: 'on a card', cell: ({ verdict }) => <VerdictMark verdict={verdict} /> },
          ['Index', change => formatPercent(change.thermalErrorIndex)],
          {
            head: 'Reason',
            form: 'note',
            plain: 'on a card',
            cell: ({ because, at }) =>
              because && reasonInWords(because, { system: units.value, zone: shop, now: at }).text,
          },
        ]}
      />
      {changes.length > few && (
        <p>
          <Button onClick={() => setWhole(!whole)}>
            {whole ? 'Show the newest only' : `Show all ${Math.min(changes.length, many)}`}
          </Button>
        </p>
      )}
    </>
  )
}

interface Props {
  shop: Shop
  machine: Machine
  span: Span
  now: number
}

interface HistoryProps extends Props {
  title?: string
  /** the changes as a list below the bands */
  listed?: boolean
}

/** Which verdicts were shown over the span: a band a work class, and as a list. */
export const VerdictHistory = ({ shop, machine, span, now, title = 'Verdicts', listed = true }: HistoryProps) => {
  const address = (from: number, to: number) => machinePath(machine.id, 'verdicts', { from, to })
  const { value, range, problem } = useOverSpan<{ verdicts: ShownVerdict[] }>(
    ({ from, to }) => address(Math.max(0, from - before), to),
    span,
    now,
  )
  const changes = value?.verdicts ?? null
  const within = changes?.filter(c => c.at >= range.from) ?? []
  return (
    <section class="stack over-time" aria-labelledby="verdict-history">
      <div class="panel-head">
        <h3 id="verdict-history">{title}</h3>
        <p class="quiet">
          The taller, the graver; unknown is hollow.{' '}
          {range.to - range.from <= longestHappened && (
            <>
              <a href={happenedAddress(machine.id, range.from, range.to)} aria-label={`What happened then? ${title}`}>
                What happened?
              </a>{' '}
            </>
          )}
          <CsvLink href={asCsvInUnits(address(range.from, range.to))} name="verdicts" about="Verdicts as CSV" />
        </p>
      </div>
      <Problem text={problem} />
      <div class="stack bands">
        {shop.workClasses.map(c => (
          <BandRow
            key={c.id}
            name={c.name}
            bands={verdictBands(changes?.filter(v => v.workClass === c.id) ?? [], range.from, Math.min(now, range.to))}
            from={range.from}
            to={range.to}
            onBand={band => go(happenedIn(machine.id, band.from, Math.min(band.to, now - 1)))}
          />
        ))}
      </div>
      {listed && within.length > 0 && <List machine={machine} changes={within} shop={shop} now={now} />}
      {listed && changes && within.length === 0 && <p class="empty">No verdict has changed in this span.</p>}
    </section>
  )
}
