import type { ReadWith } from '../../core/spindle/index.js'

export const readWithWords: Record<ReadWith, string> = {
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
    <label class="field">
      <span>Read with</span>
      <select value={how} onChange={event => setHow(event.currentTarget.value as ReadWith)}>
        {Object.entries(readWithWords).map(([value, words]) => (
          <option key={value} value={value}>
            {words}
          </option>
        ))}
      </select>
    </label>
    <label class="field">
      <span>When the spindle grows, the reading gets</span>
      <select value={lower ? 'lower' : 'higher'} onChange={event => setLower(event.currentTarget.value === 'lower')}>
        <option value="higher">higher</option>
        <option value="lower">lower</option>
      </select>
    </label>
  </>
)
