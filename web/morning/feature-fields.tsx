import { formatTolerance } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import { Button } from '../frame/button.js'
import { SelectField, TextField } from '../frame/fields.js'
import { units } from '../preferences.js'
import { type FeatureDraft, gradeWidth } from './job-draft.js'

interface Props {
  feature: FeatureDraft
  /** counted from 1; empty when there is only one */
  number: string
  machine: Machine | undefined
  problemOf: (column: string) => string
  onChange: (change: Partial<FeatureDraft>) => void
  onRemove: (() => void) | null
}

/** One feature of a job: what, how large, how close, on which axis. */
export const FeatureFields = ({ feature, number, machine, problemOf, onChange, onRemove }: Props) => {
  const system = units.value
  const width = gradeWidth(feature)
  const example = system === 'metric' ? { size: '120 mm', width: '0.02 mm' } : { size: '4.7 in', width: '0.0009 in' }
  return (
    <fieldset class="job-feature">
      <legend>Feature{number && ` ${number}`}</legend>
      <div class="field-pair">
        <TextField
          label="What it is: bore, seat, thickness …"
          value={feature.feature}
          problem={problemOf('feature')}
          onChange={text => onChange({ feature: text })}
        />
        <TextField
          label={`Size, with unit: ${example.size}`}
          required
          value={feature.size}
          problem={problemOf('size')}
          onChange={size => onChange({ size })}
        />
      </div>
      <div class="field-pair">
        <TextField
          label={`Tolerance: grade as H7 or IT6, or its width as ${example.width}`}
          required
          value={feature.tolerance}
          problem={problemOf('tolerance')}
          hint={width === null ? '' : `${formatTolerance(width, system)} wide by ISO 286`}
          onChange={tolerance => onChange({ tolerance })}
        />
        <SelectField
          label="Axis"
          value={feature.axis}
          options={[{ value: '', text: 'not known: the worst one' }, ...(machine?.axes.map(({ id }) => id) ?? [])]}
          onChange={axis => onChange({ axis })}
        />
      </div>
      {problemOf('axis') && <span class="field-problem">{problemOf('axis')}</span>}
      <label>
        <input
          type="checkbox"
          checked={feature.isDiameter}
          onChange={event => onChange({ isDiameter: event.currentTarget.checked })}
        />{' '}
        a diameter made by a radius (boring or facing head): an axis’ shift counts twice
      </label>
      {onRemove && (
        <Button small onClick={onRemove}>
          Take this feature out
        </Button>
      )}
    </fieldset>
  )
}
