import { formatDateTime, formatMoment, formatStretch } from '../../core/format.js'
import type { HappenedAnswer } from '../../core/happened/index.js'
import { type Reader, sayHappened, sayMark } from '../../core/sentences/index.js'
import type { Machine, Shop } from '../../core/shop.js'
import { query, setQuery } from '../address.js'
import { useAnswer } from '../answer.js'
import { asCsvInUnits, ask, machinePath } from '../api.js'
import { Card, CardTitle } from '../frame/card.js'
import { FromTo } from '../frame/from-to.js'
import { isoMoment } from '../frame/happened.js'
import { machinePage } from '../frame/machine-frame.js'
import { Problem } from '../frame/problem.js'
import { Table } from '../frame/table.js'
import { now } from '../live/state.js'
import { units } from '../preferences.js'
import { unbroken } from '../words.js'
import { HappenedPicture } from './picture.js'
import { WorkChanges } from './work-changes.js'
import './happened.css'
import { Button } from '../frame/button.js'
import { readFromTo } from '../frame/period.js'

const hour = 3_600_000

interface Span {
  from: number
  to: number
}

/** The stretch that the address asks for; without one, the last three hours. */
const readStretch = (asked: Pick<URLSearchParams, 'get'>, moment: number): Span =>
  readFromTo(asked) ?? { from: moment - 3 * hour, to: moment }

const show = ({ from, to }: Span) => setQuery({ from: isoMoment(from), to: isoMoment(to) }, 'push')

const csvOf = (machine: string, { from, to }: Span, table: string) =>
  asCsvInUnits(machinePath(machine, 'happened', { from, to, table }))

const Chooser = ({ span, shop, latest }: { span: Span; shop: Shop; latest: number }) => {
  const length = span.to - span.from
  const moved = (by: number) => show({ from: span.from + by, to: span.to + by })
  return (
    <div class="fields happened-chooser screen-only">
      <div class="buttons">
        <Button onClick={() => moved(-length)}>Earlier</Button>
        <Button disabled={span.to >= latest - 60_000} onClick={() => moved(length)}>
          Later
        </Button>
        <Button
          disabled={length >= 7 * 24 * hour}
          onClick={() => show({ from: span.from - length / 2, to: Math.min(span.to + length / 2, latest) })}
        >
          Wider
        </Button>
        <Button
          disabled={length <= hour / 2}
          onClick={() => show({ from: span.from + length / 4, to: span.to - length / 4 })}
        >
          Narrower
        </Button>
      </div>
      <FromTo
        key={`${span.from} ${span.to}`}
        range={span}
        zone={shop}
        onShow={(from, to) => setQuery({ from, to }, 'push')}
      />
    </div>
  )
}

const Told = ({ answer, shop, reader }: { answer: HappenedAnswer; shop: Shop; reader: Reader }) => {
  const { headline, course, wall, jobs } = sayHappened(answer, shop, reader)
  const list = (title: string, sentences: readonly string[]) =>
    sentences.length > 0 && (
      <div>
        <h3>{title}</h3>
        <ul>
          {sentences.map(text => (
            <li key={text}>{unbroken(text)}</li>
          ))}
        </ul>
      </div>
    )
  return (
    <>
      <p class="happened-headline">{headline}.</p>
      <div class="happened-told">
        {list('What happened', course)}
        {list('What the wall showed', wall)}
        <div>
          <h3>What would have become of work begun then</h3>
          <ul>
            {jobs.map(({ text, more }) => (
              <li key={text}>
                <strong>{unbroken(text)}.</strong> {unbroken(more)}
              </li>
            ))}
          </ul>
        </div>
      </div>
    </>
  )
}

const Marks = ({
  answer,
  machine,
  shop,
  reader,
  onChange,
}: {
  answer: HappenedAnswer
  machine: Machine
  shop: Shop
  reader: Reader
  onChange: () => void
}) => (
  <Card id="happened-marks" text="What was done and found" about="was-it-heat#what-was-done-and-found">
    {answer.marks.length === 0 ? (
      <p class="empty">
        No datum, change, correction, check or decision is on record of this time, and no sensor was doubted.
      </p>
    ) : (
      <Table
        caption="What was done and found, in order of time"
        rows={answer.marks}
        keyOf={({ at, kind }, i) => `${at} ${kind} ${i}`}
        columns={[
          { head: 'Time', form: 'nowrap', names: true, cell: ({ at }) => formatDateTime(at, shop) },
          { head: 'What', cell: mark => sayMark(mark, shop, reader).text },
          { head: 'Who and why', form: 'note', cell: mark => sayMark(mark, shop, reader).more },
        ]}
      />
    )}
    <WorkChanges
      machine={machine}
      shop={shop}
      changes={answer.marks.flatMap(mark => (mark.kind === 'work change' ? [mark.change] : []))}
      at={answer.to}
      reader={reader}
      onChange={onChange}
    />
  </Card>
)

const Content = ({ machine, shop }: { machine: Machine; shop: Shop }) => {
  const system = units.value
  const isClockKnown = now.value !== null
  const latest = now.peek() ?? Date.now()
  const asked = ['from', 'to'].map(key => query.value.get(key) ?? '').join(' ')
  const { value, problem, again } = useAnswer(
    async signal => {
      const span = readStretch(query.peek(), now.peek() ?? Date.now())
      return ask<HappenedAnswer>(
        machinePath(machine.id, 'happened', { from: Math.floor(span.from), to: Math.floor(span.to) }),
        { signal },
      )
    },
    JSON.stringify([machine.id, asked, isClockKnown]),
    null,
  )
  const span = value ?? readStretch(query.value, latest)
  const reader: Reader = { system, zone: shop, now: span.to }
  return (
    <>
      <section class="panel" aria-labelledby="happened">
        <CardTitle
          id="happened"
          text={formatStretch(span.from, span.to, shop)}
          about="was-it-heat#what-happened-on-a-machine"
        >
          <Button class="screen-only" onClick={() => window.print()}>
            Print
          </Button>
        </CardTitle>
        <Chooser span={{ from: span.from, to: span.to }} shop={shop} latest={latest} />
        <Problem text={problem} />
        {!value && !problem && <p class="empty">Reading what is stored …</p>}
        {value && <Told answer={value} shop={shop} reader={reader} />}
      </section>
      {value && (
        <>
          <section class="panel" aria-labelledby="happened-course">
            <CardTitle id="happened-course" text="The course" about="was-it-heat#the-course">
              <p class="quiet screen-only">
                As it was believed then. As CSV:{' '}
                {[
                  ['course', 'temperatures and growth'],
                  ['events', 'events and verdicts'],
                  ['jobs', 'jobs'],
                ].map(([table, text], i) => (
                  <span key={table}>
                    {i > 0 && ', '}
                    <a href={csvOf(machine.id, value, table!)} download={`${machine.id}-${table}.csv`}>
                      {text}
                    </a>
                  </span>
                ))}
              </p>
            </CardTitle>
            <HappenedPicture answer={value} machine={machine} shop={shop} reader={reader} />
          </section>
          <Marks answer={value} machine={machine} shop={shop} reader={reader} onChange={again} />
          <p class="quiet">
            Work “out” means: size error at the job’s start and the largest drift until its end took more of the
            tolerance than heat is granted there, as the temperatures came, by more than the uncertainty (k = 2). It is
            computed, not measured: tool, clamping and gauge come on top.
            {latest - value.to > hour && ` Drawn up ${formatMoment(latest, latest, shop)}.`}
          </p>
        </>
      )}
    </>
  )
}

/** What happened on a machine over a stretch of its past: one page with an address of its own. */
export const HappenedPage = machinePage('happened', Content)
