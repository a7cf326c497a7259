import { useId, useState } from 'preact/hooks'
import { formatDuration, formatGrowth, formatMoment, formatShare, formatSpeed } from '../../core/format.js'
import type { JobAnswer, JobError, PlannedJob } from '../../core/morning/index.js'
import { nameOf } from '../../core/names.js'
import { type Reader, sayAnswer } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import { Button } from '../frame/button.js'
import { Table } from '../frame/table.js'
import { addressOf } from '../routes.js'
import { AnswerMark, answerReads } from '../shapes/answer.js'
import { reasonInWords, remedyInWords, unbroken } from '../words.js'
import { ErrorNumbers, ErrorWindow } from './error-window.js'
import { closestFeature, featureWords, fromWords } from './features.js'
import type { Stretch } from './shift.js'
import { ShiftStrip } from './shift-strip.js'
import { rowOf } from './todo.js'

interface Props {
  job: PlannedJob
  answer: JobAnswer
  shift: Stretch
  shop: Shop
  reader: Reader
  onChange: (job: PlannedJob) => void
  onWithdraw: (job: PlannedJob) => void
}

const same = (a: JobError, b: JobError): boolean =>
  a.machine === b.machine && Math.abs(a.start - b.start) < 60_000 && Math.abs(a.error - b.error) < 1e-8

/** further parts of a budget, and those so small beside the largest, add nothing to it that could be seen */
const most = 6
const smallest = 0.02

const Budget = ({ of, title, reader }: { of: JobError; title: string; reader: Reader }) => (
  <div>
    <h4>{title}</h4>
    <p>
      {of.axis} {formatGrowth(of.error, reader.system)} ± {formatGrowth(of.uncertainty, reader.system, 'plain')} of{' '}
      {formatGrowth(of.granted, reader.system, 'plain')} that heat may take; the tolerance is{' '}
      {formatGrowth(of.tolerance, reader.system, 'plain')}. What makes it uncertain, largest first:
    </p>
    <Table
      caption={`Uncertainty budget, ${title}`}
      rows={of.budget
        .slice(0, most)
        .filter(({ standardUncertainty }) => standardUncertainty >= smallest * of.budget[0]!.standardUncertainty)}
      keyOf={({ name }) => name}
      columns={[
        { head: 'What', names: true, cell: ({ name }) => name },
        [
          'Standard uncertainty',
          ({ standardUncertainty }) => `± ${formatGrowth(standardUncertainty, reader.system, 'plain')}`,
        ],
      ]}
    />
  </div>
)

/** All that is known of a job, on request. */
const More = ({ job, answer, shop, reader, onChange, onWithdraw }: Omit<Props, 'shift'>) => {
  const { asPlanned, asAdvised } = answer
  const able = job.machines.map(id => nameOf(shop.machines, id))
  const remedy = answer.change && remedyInWords(answer.change, reader)
  return (
    <div class="job-more screen-only">
      <div>
        <h4>The job</h4>
        <ul>
          {job.features.map((feature, i) => (
            <li key={i}>
              {featureWords(feature, reader.system)}
              {feature.axis && `, along ${feature.axis}`}
            </li>
          ))}
          <li>
            {job.material}, {fromWords(job.from, reader.system, reader.now, shop)}
          </li>
          <li>
            on {able.join(' or ')}
            {job.speed !== undefined && `, its spindle at up to ${formatSpeed(job.speed)}`}
            {job.tools !== undefined && (
              <>
                {', by its '}
                <a href={`${addressOf('toolPlan', job.machines[0])}?list=${job.tools}`}>tool list</a>
              </>
            )}
          </li>
          <li>
            heat may take {formatShare(job.share)}; zero set at{' '}
            {job.zeroedAt === 'datum' ? 'the datum' : 'the job’s start'}
          </li>
          <li class="quiet">
            entered {formatMoment(job.enteredAt, reader.now, shop)}
            {job.by && ` by ${job.by}`}; answered {formatMoment(answer.at, reader.now, shop)}
          </li>
        </ul>
        <div class="buttons screen-only">
          <Button small onClick={() => onChange(job)}>
            Change …
          </Button>
          <Button small onClick={() => onWithdraw(job)}>
            Withdraw …
          </Button>
        </div>
      </div>
      <div>
        <h4>Why</h4>
        <ul>
          {answer.reasons.map((reason, i) => {
            const { text, more } = reasonInWords(reason, reader)
            return (
              <li key={i}>
                {text}. <span class="quiet">{more}</span>
              </li>
            )
          })}
          {answer.reasons.length === 0 && <li class="quiet">Nothing stands against it.</li>}
          {remedy && (
            <li>
              <strong>{remedy.text}.</strong> <span class="quiet">{remedy.more}</span>
            </li>
          )}
        </ul>
      </div>
      {asPlanned && <Budget of={asPlanned} title="Error as planned" reader={reader} />}
      {asAdvised && !(asPlanned && same(asPlanned, asAdvised)) && (
        <Budget of={asAdvised} title="Error as advised" reader={reader} />
      )}
    </div>
  )
}

/** A planned job: what, where, whether, when, and how far off. */
export const JobRow = (props: Props) => {
  const { job, answer, shift, shop, reader } = props
  const id = useId()
  const [open, setOpen] = useState(false)
  const { answer: word, between, why, change } = sayAnswer(answer, job, shop, reader)
  const planned = job.machines[0]!
  const machine = nameOf(shop.machines, planned)
  const { asPlanned } = answer
  const asAdvised = answer.asAdvised && asPlanned && same(asPlanned, answer.asAdvised) ? null : answer.asAdvised
  const errors = { planned: asPlanned, advised: asAdvised }
  return (
    <article id={rowOf(job.id)} class="job" aria-labelledby={id} tabIndex={-1}>
      <div class="job-when">
        <b>{formatMoment(job.start, reader.now, shop).replace(/^\w{3} (?=\d)/, '')}</b>
        <small>{formatDuration(job.duration)}</small>
      </div>
      <div class="job-what">
        <h3 id={id}>{job.part}</h3>
        <small>
          {featureWords(closestFeature(job), reader.system)}
          {job.features.length > 1 && ` and ${job.features.length - 1} more`}
        </small>
      </div>
      <div class="job-machine">
        {machine}
        {job.machines.length > 1 && <small> or {job.machines.length - 1} more</small>}
      </div>
      <div class="job-answer">
        <AnswerMark answer={answer.answer} word={word} />
        {answer.answer === 'go' ? (
          <small> {unbroken(why)}</small>
        ) : (
          [between, why].map(
            line =>
              line && (
                <small key={line} class="line">
                  {unbroken(line)}
                </small>
              ),
          )
        )}
        {change && (
          <small class="line">
            <strong>{unbroken(change)}</strong>
          </small>
        )}
      </div>
      <ShiftStrip job={job} answer={answer} shift={shift} shop={shop} now={reader.now} />
      <ErrorWindow {...errors} reads={answerReads(answer.answer)} />
      <div class="job-error">
        <ErrorNumbers {...errors} />
      </div>
      <Button
        small
        class="job-open screen-only"
        aria-expanded={open}
        aria-label={`Budget and more of ${job.part}`}
        onClick={() => setOpen(!open)}
      >
        {open ? 'Less' : 'More'}
      </Button>
      {open && <More {...props} />}
    </article>
  )
}
