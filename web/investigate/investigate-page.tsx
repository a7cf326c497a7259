import { useEffect } from 'preact/hooks'
import { formatDateTime, formatDuration } from '../../core/format.js'
import type { HappenedAnswer } from '../../core/happened/index.js'
import type { InvestigatedGroup, InvestigationAnswer } from '../../core/investigation/index.js'
import { nameOf } from '../../core/names.js'
import type { Reader } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import type { SourcesAnswer } from '../../core/shop-model/index.js'
import { query, setQuery } from '../address.js'
import { useAddress, useAnswer } from '../answer.js'
import { asCsv, ask, machinePath } from '../api.js'
import { CardTitle } from '../frame/card.js'
import { Heading, shopPage } from '../frame/frame.js'
import { longestHappened } from '../frame/happened.js'
import { Problem } from '../frame/problem.js'
import { now } from '../live/state.js'
import { units } from '../preferences.js'
import { type Asked, investigationPath } from './answers.js'
import { Choose, Chosen, groupKey } from './choose.js'
import { ConclusionCard, OtherCauses } from './conclusion.js'
import { CourseCard } from './course.js'
import { Inspections } from './inspections.js'
import { Groups, OpenCard, Rejects } from './open.js'
import { OpeningsCard } from './openings.js'
import { type Investigated, partsOf } from './parts.js'
import { PrintButton } from './print-button.js'
import { SourcesCard } from './sources.js'
import { ToldCard } from './told.js'
import { WhatIfCard } from './what-if.js'
import '../happened/happened.css'
import './investigate.css'
import { Button } from '../frame/button.js'
import { CsvLink } from '../frame/csv-link.js'

/** ms; while the model of the shop is being learned */
const askedAgain = 10_000

const readAsked = (of: Pick<URLSearchParams, 'get'>): Asked => {
  const time = (key: string) => {
    const at = Date.parse(of.get(key) ?? '')
    return Number.isNaN(at) ? null : at
  }
  return {
    from: time('from'),
    to: time('to'),
    workClass: of.get('class') ?? '',
    moved: Number(of.get('moved') ?? 0) || 0,
  }
}

/** The group that the address names; else the one with most rejects. */
const chosenOf = (answer: InvestigationAnswer, of: Pick<URLSearchParams, 'get'>): InvestigatedGroup | undefined => {
  const key = groupKey({
    part: of.get('part') ?? '',
    feature: of.get('feature') ?? '',
    machine: of.get('machine') ?? '',
  })
  return (
    answer.groups.find(each => groupKey(each) === key) ??
    answer.groups.find(({ machine }) => machine === of.get('machine')) ??
    answer.groups[0]
  )
}

/** Times that seem to be an hour off are asked about. */
const ClockQuestion = ({ group, asked }: { group: InvestigatedGroup; asked: Asked }) => {
  const { clock } = group
  if (asked.moved !== 0)
    return (
      <p class="notice">
        All cuts are taken {formatDuration(Math.abs(asked.moved))} {asked.moved > 0 ? 'later' : 'earlier'} than they are
        written.{' '}
        <Button small onClick={() => setQuery({ moved: null })}>
          As they are written
        </Button>
      </p>
    )
  if (!clock) return null
  const words = `${formatDuration(Math.abs(clock.offset))} ${clock.offset > 0 ? 'later' : 'earlier'}`
  return (
    <p class="notice">
      <strong>Is the clock right?</strong> The parts go much better with the temperatures when every cut is taken{' '}
      {words}: {Math.round(100 * clock.moved)} % of the variance would be explained, as written{' '}
      {Math.max(0, Math.round(100 * clock.asWritten))} %. A clock that was not put{' '}
      {clock.offset > 0 ? 'forward' : 'back'} would do that.{' '}
      <Button small onClick={() => setQuery({ moved: String(clock.offset) })}>
        Take them {words}
      </Button>
    </p>
  )
}

interface FoundProps extends Pick<Investigated, 'answer' | 'group'> {
  asked: Asked
  theShop: Shop
  onChange: () => void
}

const Found = ({ answer, group, asked, theShop, onChange }: FoundProps) => {
  const reader: Reader = { system: units.value, zone: theShop, now: answer.at }
  const parts = partsOf(answer, group)
  const span = {
    from: group.course.from,
    to: Math.min(answer.at, group.course.from + group.course.step * group.course.values.length),
  }
  const machine = theShop.machines.find(({ id }) => id === group.machine)
  const sources = useAddress<SourcesAnswer>(
    machinePath(group.machine, 'sources', { ...span, ...(group.axis !== null && { axis: group.axis }) }),
  )
  const { value: told, again: askSourcesAgain } = sources
  useEffect(() => {
    if (!told?.isBeingLearned) return
    const timer = setTimeout(askSourcesAgain, askedAgain)
    return () => clearTimeout(timer)
  }, [told])
  const happened = useAnswer(
    async signal =>
      machine && span.to - span.from <= longestHappened
        ? ask<HappenedAnswer>(machinePath(group.machine, 'happened', span), { signal })
        : null,
    JSON.stringify([group.machine, span]),
  )
  const of = { answer, group, parts, sources: told, machine, shop: theShop, reader }
  return (
    <>
      <section class="panel" aria-labelledby="conclusion">
        <CardTitle id="conclusion" text="What the parts say" about="was-it-heat#the-conclusion">
          <div class="buttons screen-only">
            <CsvLink href={asCsv(investigationPath(asked, group))} name="parts" about="Parts as CSV" />
            <PrintButton />
          </div>
        </CardTitle>
        <Choose {...of} />
        <Chosen {...of} />
        <ClockQuestion group={group} asked={asked} />
        <ConclusionCard {...of} />
      </section>
      <SourcesCard sources={told} problem={sources.problem} nameOf={id => nameOf(theShop.sources, id)} />
      <WhatIfCard {...of} asked={asked} />
      <OtherCauses {...of} />
      <CourseCard {...of} happened={happened.value} onChange={onChange} />
      <ToldCard {...of} />
      {told && told.openings.length + told.openingsCannotBeTold.length + told.cycles.length > 0 && (
        <OpeningsCard sources={told} name={id => nameOf(theShop.sources, id)} />
      )}
      <Rejects {...of} />
      <OpenCard {...of} />
      <Groups {...of} />
      {answer.partsLeftOut > 0 && (
        <p class="quiet">{answer.partsLeftOut} parts are left out of the pictures; they count, and stand in the CSV.</p>
      )}
      <p class="quiet">
        Drawn up {formatDateTime(answer.at, theShop)}. It is computed from {parts.length} measured parts and the
        temperatures of their time; it says what went together, and defers to whoever measured, cut and clamped.
      </p>
    </>
  )
}

const Content = ({ shop: theShop }: { shop: Shop }) => {
  const asked = readAsked(query.value)
  const { value, problem, again } = useAddress<InvestigationAnswer>(investigationPath(asked, null))
  const group = value ? chosenOf(value, query.value) : undefined
  const none = value !== null && value.inspections === 0
  const askedMachine = theShop.machines.find(({ id }) => id === query.value.get('machine'))
  return (
    <>
      <Heading text="Was it heat that scrapped these parts?">
        Measured parts against what the temperatures say the machine and the part did
        {now.value !== null && theShop.invented ? ', all invented' : ''}
      </Heading>
      <Problem text={problem} />
      {!value && !problem && (
        <p class="empty" role="status">
          Holding the parts against the temperatures of their time …
        </p>
      )}
      {none && (
        <section class="panel" aria-labelledby="nothing-yet">
          <h2 id="nothing-yet">
            {asked.from === null ? 'No measured part is on record yet' : 'No measured part was cut in this time'}
          </h2>
          <p>
            {asked.from === null
              ? 'Send the table of an inspection, below: part, feature, machine, nominal size, measured size and the time of the cut. The rest helps.'
              : 'Choose another time, or look at all of them.'}{' '}
            {asked.from !== null && (
              <Button small onClick={() => setQuery({ from: null, to: null })}>
                All
              </Button>
            )}
          </p>
        </section>
      )}
      {value && group && askedMachine && askedMachine.id !== group.machine && (
        <p class="notice">
          No measured part of {askedMachine.name} is on record in this time; these are of another machine.
        </p>
      )}
      {value && group && (
        <Found key={groupKey(group)} answer={value} group={group} asked={asked} theShop={theShop} onChange={again} />
      )}
      <Inspections theShop={theShop} open={none} onChange={again} />
    </>
  )
}

/** Parts were out of tolerance: was it heat, how much, from where, how sure. */
export const InvestigatePage = shopPage('Was it heat?', Content)
