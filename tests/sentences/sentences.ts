import {
  type Reader,
  type Sentence,
  sayCommonCause,
  sayReason,
  sayRemedy,
  saySensorFault,
} from '../../core/sentences/index.js'
import { commonCauses, faults, now, reasons, remedies } from './examples.js'

/** Every sentence that the service makes of a reason or a remedy, in all units, so that they can be read as a whole. */

const help = `npm run sentences

Prints every kind of reason for a verdict, of remedy and of fault about a sensor as the pages say it, with invented examples:
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
}
