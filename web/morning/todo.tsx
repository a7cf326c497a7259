import { formatMoment } from '../../core/format.js'
import type { MorningCheck, Todo } from '../../core/morning/index.js'
import { type Reader, sayTodo } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import { CardTitle } from '../frame/card.js'
import { addressOf } from '../routes.js'
import { AnswerShape, answerReads, answerWords } from '../shapes/answer.js'
import { unbroken } from '../words.js'

/** where a job's row is on this page */
export const rowOf = (job: number): string => `job-${job}`

const leadsTo = ({ about }: Todo): { href: string; text: string } | null => {
  switch (about.kind) {
    case 'sensor':
    case 'calibration':
      return { href: addressOf('sensors'), text: 'Sensors' }
    case 'remedy':
    case 'no levelling':
      return { href: addressOf('machine', about.machine), text: 'The machine' }
    case 'spindle warm-up':
      return { href: `${addressOf('toolPlan', about.machine)}?list=${about.list}`, text: 'Tool plan' }
    case 'soak':
      return { href: addressOf('soak'), text: 'Soak' }
    case 'heating late':
      return null
  }
}

/** something that goes on until then, rather than to be done before */
const lasts = ({ about: { kind } }: Todo): boolean => kind === 'soak' || kind === 'no levelling'

/** at most so many jobs are named beside a line */
const few = 2

interface Props {
  check: MorningCheck
  shop: Shop
  reader: Reader
}

const Effect = ({ todo, check, reader }: { todo: Todo; check: MorningCheck; reader: Reader }) => {
  const part = (id: number) => check.jobs.find(({ job }) => job.id === id)?.job.part
  const lead = leadsTo(todo)
  const at = (moment: number) => formatMoment(moment, reader.now, reader.zone)
  if (todo.jobs.length === 0) return lead && <a href={lead.href}>{lead.text}</a>
  return (
    <>
      {todo.jobs.slice(0, few).map(({ job, before, after, start }) => (
        <span key={job} class="todo-effect">
          <span class={`reads reads-${answerReads(before)}`}>
            <AnswerShape answer={before} />
            <span class="hidden">{answerWords[before]}</span>
          </span>
          <span aria-hidden="true">→</span>
          <span class="hidden">becomes</span>
          <span class={`reads reads-${answerReads(after)}`}>
            <AnswerShape answer={after} />
          </span>
          <span>
            <a href={`#${rowOf(job)}`}>{part(job) ?? 'job'}</a>: {answerWords[after]}
            {start !== null && ` ${at(start)}`}
          </span>
        </span>
      ))}
      {todo.jobs.length > few && <span class="quiet">and {todo.jobs.length - few} more</span>}
    </>
  )
}

/** What to do first, in order of effect on the day's jobs. */
export const TodoCard = ({ check, shop, reader }: Props) => (
  <section class="panel morning-card" aria-labelledby="todo">
    <CardTitle id="todo" text="What to do first" about="morning#what-to-do-first">
      {check.todo.length > 0 && <p class="quiet">in order of effect on today’s jobs</p>}
    </CardTitle>
    {check.todo.length === 0 ? (
      <p class="empty">Nothing to do: no job waits for anything that somebody could change.</p>
    ) : (
      <ol class="todo">
        {check.todo.map((todo, i) => {
          const { text, more } = sayTodo(todo, check.jobs, shop, reader)
          const isNow = todo.by === null || todo.by <= reader.now
          return (
            <li key={i}>
              <span class="todo-number" aria-hidden="true">
                {i + 1}
              </span>
              <span class={isNow ? 'todo-by is-now' : 'todo-by'}>
                {isNow
                  ? 'now'
                  : `${lasts(todo) ? 'until' : 'before'} ${formatMoment(todo.by, reader.now, reader.zone)}`}
              </span>
              <strong>{unbroken(text)}</strong>
              <span>{unbroken(more)}</span>
              <span class="todo-to">
                <Effect todo={todo} check={check} reader={reader} />
              </span>
            </li>
          )
        })}
      </ol>
    )}
  </section>
)
