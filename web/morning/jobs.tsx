import type { ComponentChildren } from 'preact'
import type { AnswerKind, MorningCheck, PlannedJob } from '../../core/morning/index.js'
import type { Reader } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import { CardTitle } from '../frame/card.js'
import { AnswerShape, answerReads, answerWords } from '../shapes/answer.js'
import { JobRow } from './job-row.js'
import { shiftOf } from './shift.js'
import { ShiftTimes } from './shift-strip.js'

const order: readonly AnswerKind[] = ['go', 'go once zeroed', 'wait', 'move', 'not today', 'cannot tell']

const Counts = ({ jobs }: Pick<MorningCheck, 'jobs'>) => (
  <p class="flow morning-counts">
    {order.map(kind => {
      const count = jobs.filter(({ answer }) => answer.answer === kind).length
      return (
        count > 0 && (
          <span key={kind} class={`reads reads-${answerReads(kind)}`}>
            <AnswerShape answer={kind} /> {count} {answerWords[kind]}
          </span>
        )
      )
    })}
  </p>
)

const Key = () => (
  <p class="flow morning-key" aria-hidden="true">
    <span>
      <i class="key-bar is-advised" /> do it then
    </span>
    <span>
      <i class="key-bar is-planned" /> planned, not advised
    </span>
    <span>
      <i class="key-bar is-after" /> do it then, once the change is made
    </span>
    <span>
      <i class="key-opening" /> machine and part fit, if doors, vents and heat sources go on as usual; a slope runs from
      the earliest to the latest time
    </span>
    <span>
      <i class="key-opening is-after" /> fit with the change
    </span>
    <span>
      <i class="key-tolerance" /> tolerance; shaded: what heat may take
    </span>
    <span>
      <i class="key-error" /> error as planned ± uncertainty (k = 2)
    </span>
    <span>
      <i class="key-ring" /> as advised
    </span>
  </p>
)

interface Props {
  check: MorningCheck
  shop: Shop
  reader: Reader
  onChange: (job: PlannedJob) => void
  onWithdraw: (job: PlannedJob) => void
  /** what can be done with the list */
  children: ComponentChildren
}

/** Today's jobs: each with its one answer, in the shift and in its tolerance. */
export const JobsCard = ({ check, shop, reader, onChange, onWithdraw, children }: Props) => {
  const shift = shiftOf(check)
  const jobs = [...check.jobs].sort((a, b) => a.job.start - b.job.start || a.job.id - b.job.id)
  return (
    <section class="panel morning-card" aria-labelledby="jobs">
      <CardTitle id="jobs" text="Today’s jobs" about="morning#todays-jobs">
        {jobs.length > 0 && <Counts jobs={jobs} />}
      </CardTitle>
      {jobs.length === 0 ? (
        <p class="empty">No jobs are planned yet. Enter the first one, send a list as CSV, or take over yesterday’s.</p>
      ) : (
        <div class="jobs">
          <div class="job is-head" aria-hidden="true">
            <div>Start</div>
            <div>Part, closest feature</div>
            <div>Machine</div>
            <div>Answer</div>
            <ShiftTimes shift={shift} now={reader.now} zone={shop} most={6} />
            <div class="error-head">error in its tolerance</div>
            <div class="job-error">on the worst axis</div>
          </div>
          {jobs.map(({ job, answer }) => (
            <JobRow key={job.id} {...{ job, answer, shift, shop, reader, onChange, onWithdraw }} />
          ))}
          <div class="shift-foot">
            <ShiftTimes shift={shift} now={reader.now} zone={shop} most={4} />
          </div>
          <Key />
        </div>
      )}
      {children}
    </section>
  )
}
