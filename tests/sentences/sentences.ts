import type { JobAnswer, Todo } from '../../core/morning/index.js'
import {
  type Reader,
  type Sentence,
  sayAnswer,
  sayCommonCause,
  sayReason,
  sayRefusal,
  sayRemedy,
  saySensorFault,
  saySpindleWarning,
  sayTodo,
} from '../../core/sentences/index.js'
import { commonCauses, faults, now, reasons, refusals, remedies, spindleWarnings } from './examples.js'
import { answers, job, named, todos } from './morning-examples.js'

/** Every sentence that the service makes of a reason or a remedy, in all units, so that they can be read as a whole. */

const help = `npm run sentences

Prints every kind of reason for a verdict, of remedy, of fault about a sensor and of answer to a planned job as the pages
say it, with invented examples:
the sentence in metric units, in inches and in tenths, and what is said beside it.
`

const readers = (['metric', 'inch', 'tenths'] as const).map(
  (system): Reader => ({ system, zone: 'Europe/Vienna', now }),
)

const print = <Said>(
  title: string,
  examples: Record<string, readonly Said[]>,
  say: (of: Said, to: Reader) => Sentence,
) => {
  console.log(`\n${title}`)
  for (const [kind, of] of Object.entries(examples)) {
    console.log(`\n  ${kind}`)
    for (const example of of) {
      const said = readers.map(reader => say(example, reader))
      const lines = said.flatMap(({ text, more }) => [`    ${text}`, ...(more ? [`      ${more}`] : [])])
      for (const line of new Set(lines)) console.log(line)
    }
  }
}

if (process.argv.includes('--help')) console.log(help)
else {
  print('Why a verdict is what it is', reasons, sayReason)
  print('What to do about a verdict', remedies, sayRemedy)
  print('What most machines have in common that are not fit', commonCauses, sayCommonCause)
  print('Why a sensor is not believed', faults, saySensorFault)
  print('What must be known of a spindle’s growth', spindleWarnings, saySpindleWarning)
  const lists = Object.fromEntries(Object.entries(refusals).map(([kind, refusal]) => [kind, [refusal]]))
  print('Why a time constant that was identified is not used', lists, (of, to) => ({
    text: sayRefusal(of, to),
    more: '',
  }))
  print<JobAnswer>('What is answered for a planned job', answers, (of, to) => {
    const { answer, between, why, change } = sayAnswer(of, job, named, to)
    return {
      text: [answer, between && `(${between})`].filter(Boolean).join(' '),
      more: [why, change].filter(Boolean).join('. '),
    }
  })
  print<Todo>('What to do first in the morning', todos, (of, to) =>
    sayTodo(of, [{ job, answer: answers.go[0]! }], named, to),
  )
}
