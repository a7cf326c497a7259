import type { RecordingChoices } from '../../core/facts.js'

type Order = NonNullable<RecordingChoices['order']>

/** Asks which comes first in the dates of a table that does not tell. @param unclear such a date; empty when all are clear */
export const DateOrder = ({
  unclear,
  order,
  onChoose,
}: {
  unclear: string
  order: Order | null
  onChoose: (order: Order) => void
}) => (
  <fieldset class="flow asked">
    <legend>{unclear ? `Which comes first in “${unclear}”?` : 'Dates'}</legend>
    {unclear && <p class="problem">The file does not tell. Nothing can be imported until you say.</p>}
    {(['day first', 'month first'] as const).map(each => (
      <label key={each}>
        <input type="radio" name="date-order" checked={order === each} onChange={() => onChoose(each)} />{' '}
        {each === 'day first' ? 'The day' : 'The month'}
      </label>
    ))}
  </fieldset>
)
