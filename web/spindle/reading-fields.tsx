import type { ReadWith } from '../../core/spindle/index.js'
import { SelectField } from '../frame/fields.js'

const readWithWords: Record<ReadWith, string> = {
  'dial indicator': 'Dial indicator, spindle stopped for each reading',
  'displacement probe': 'Displacement probe that does not touch',
  'tool-length probing': 'The control’s tool-length probing',
}

interface Props {
  how: ReadWith
  setHow: (how: ReadWith) => void
  lower: boolean
  setLower: (lower: boolean) => void
}

/** With what a growth test is read, and which way its reading goes: asked before a guided test and of one that was run. */
export const ReadingFields = ({ how, setHow, lower, setLower }: Props) => (
  <>
    <SelectField
      label="Read with"
      value={how}
      options={(Object.keys(readWithWords) as ReadWith[]).map(value => ({ value, text: readWithWords[value] }))}
      onChange={setHow}
    />
    <SelectField
      label="When the spindle grows, the reading gets"
      value={lower ? 'lower' : 'higher'}
      options={['higher', 'lower']}
      onChange={gets => setLower(gets === 'lower')}
    />
  </>
)
