import { formatDateTime, formatGrowth, formatLength, formatStretch } from '../../core/format.js'
import type { InspectionChoices, InspectionUse } from '../../core/inspection/index.js'
import { nameOf } from '../../core/names.js'
import type { Shop } from '../../core/shop.js'
import type { InspectionPreview } from '../../server/http/schemas/inspections.js'
import { DateOrder } from '../frame/date-order.js'
import { Select, SelectField } from '../frame/fields.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { counted } from '../words.js'

interface Props {
  preview: InspectionPreview
  theShop: Shop
  /** reads it again as said */
  onChoose: (choices: InspectionChoices) => void
}

/** what a column can be, in the order in which one would look for it */
const uses: readonly InspectionUse[] = [
  ...(['part', 'feature', 'machine', 'serial', 'nominal', 'measured', 'deviation', 'time', 'end', 'width'] as const),
  ...(['date', 'clock', 'lower limit', 'upper limit', 'tolerance', 'axis', 'longer axis', 'cut', 'zeroed'] as const),
  ...(['material', 'temperature', 'temperature uncertainty', 'gauge', 'tool', 'tool count', 'sequence'] as const),
  ...(['lot', 'set-up', 'who', 'note', 'kept beside', 'nothing'] as const),
]

const useWords: Partial<Record<InspectionUse, string>> = {
  time: 'time of the cut',
  end: 'end of the cut',
  width: 'how far off the time may be',
  date: 'date of the cut',
  clock: 'time of day of the cut',
  'longer axis': 'a longer axis makes it larger or smaller',
  cut: 'cut on one side, both sides, diameter',
  zeroed: 'zeroed at datum, each part',
  temperature: 'temperature of the part when measured',
  gauge: 'material of the gauge',
  'tool count': 'what the tool had cut',
  'kept beside': 'kept, not used',
  nothing: 'nothing: left out',
}
const word = (use: InspectionUse) => useWords[use] ?? use

/** what often holds for every row; with the choices there are, or typed */
const constants: readonly { use: InspectionUse; options?: readonly string[] }[] = [
  { use: 'machine' },
  { use: 'part' },
  { use: 'feature' },
  { use: 'axis' },
  { use: 'longer axis', options: ['larger', 'smaller'] },
  { use: 'cut', options: ['one side', 'both sides', 'diameter'] },
  { use: 'zeroed', options: ['datum', 'each part'] },
  { use: 'nominal' },
  { use: 'material' },
]

const Columns = ({ preview, onChoose }: Omit<Props, 'theShop'>) => (
  <Table
    caption="What each column is"
    rows={preview.columns}
    keyOf={({ heading }, i) => `${heading} ${i}`}
    columns={[
      { head: 'Column', names: true, cell: ({ heading }) => heading || '(no heading)' },
      { head: 'First row', cell: ({ example }) => example },
      {
        head: 'Is',
        cell: ({ heading, use }) => (
          <Select
            aria-label={`What ${heading || 'the column without a heading'} is`}
            value={use}
            options={uses.map(value => ({ value, text: word(value) }))}
            onChange={chosen =>
              onChoose({ ...preview.choices, columns: { ...preview.choices.columns, [heading]: chosen } })
            }
          />
        ),
      },
      { head: 'Unit', cell: ({ unit }) => unit },
    ]}
  />
)

const Constants = ({ preview, theShop, onChoose }: Props) => {
  const { choices, columns, missing } = preview
  const say = (use: InspectionUse, text: string) => {
    const { [use]: _, ...others } = choices.constants
    onChoose({ ...choices, constants: text.trim() === '' ? others : { ...others, [use]: text.trim() } })
  }
  return (
    <div class="constants">
      {constants
        .filter(({ use }) => !columns.some(column => column.use === use))
        .map(({ use, options }) => {
          const value = choices.constants[use] ?? ''
          const choice = use === 'machine' ? theShop.machines.map(({ name }) => name) : options
          const label = <>{missing.includes(use) ? <strong>Needed: {word(use)}</strong> : word(use)}, of every row</>
          return choice ? (
            <SelectField
              key={use}
              label={label}
              value={value}
              options={[{ value: '', text: 'not said' }, ...choice]}
              onChange={text => say(use, text)}
            />
          ) : (
            <label key={use} class="field">
              <span>{label}</span>
              <input type="text" value={value} onChange={event => say(use, event.currentTarget.value)} />
            </label>
          )
        })}
    </div>
  )
}

const Questions = ({ preview: { choices, datesUnclear, unitUnclear }, onChoose }: Omit<Props, 'theShop'>) => (
  <>
    {(datesUnclear !== '' || choices.order !== null) && (
      <DateOrder unclear={datesUnclear} order={choices.order} onChoose={order => onChoose({ ...choices, order })} />
    )}
    {(unitUnclear || choices.unit !== null) && (
      <SelectField
        label="Lengths without a unit are"
        value={choices.unit ?? ''}
        options={[{ value: '', text: 'not said: they are refused' }, 'mm', 'in', 'µm', 'thou']}
        onChange={unit => onChoose({ ...choices, unit: unit || null })}
      />
    )}
  </>
)

/** What was understood of a table of measured parts, and everything that is wrong in it. */
export const Preview = (props: Props) => {
  const { preview, theShop } = props
  const { choices, faults, missing, samples, remembered } = preview
  const system = units.value
  return (
    <>
      <p role="status">
        <strong>
          {preview.readable
            ? `${counted(preview.good, 'part')} of ${counted(preview.rows, 'row')} can be taken`
            : 'This file cannot be read as a table'}
          {preview.refused > 0 && `, ${counted(preview.refused, 'row is', 'rows are')} refused`}
          {preview.alreadyThere > 0 && `, ${counted(preview.alreadyThere, 'row is', 'rows are')} on record already`}.
        </strong>{' '}
        {missing.length > 0 && `It does not say: ${missing.map(word).join(', ')}. `}
        {preview.from !== null && preview.to !== null && `Cut ${formatStretch(preview.from, preview.to, theShop)}. `}
        {preview.decimalComma && 'Its numbers have a decimal comma. '}
        {preview.repeatedHour > 0 &&
          `${counted(preview.repeatedHour, 'row falls', 'rows fall')} in the hour that clocks repeat; the order tells which.`}
      </p>
      {remembered && (
        <p class="quiet">
          Read as {remembered.by} said on {formatDateTime(remembered.at, theShop)} of a table with the same headings.
        </p>
      )}
      {preview.readable && (
        <>
          <Questions {...props} />
          <Columns {...props} />
          <Constants {...props} />
          <label class="field">
            <span>Times without a zone are (empty: the shop’s; a recorder without summer time: +01:00)</span>
            <input
              type="text"
              pattern="[+-]\d\d:\d\d"
              placeholder="+01:00"
              value={choices.offset ?? ''}
              onChange={event => {
                const text = event.currentTarget.value.trim()
                if (text === '' || /^[+-]\d\d:\d\d$/.test(text)) props.onChoose({ ...choices, offset: text || null })
              }}
            />
          </label>
        </>
      )}
      {faults.length > 0 && (
        <div>
          <h4>What is wrong in it</h4>
          <p class="quiet">
            {preview.faultCounts.map(({ column, count }) => `${column || 'whole row'}: ${count}`).join(' · ')}
            {preview.refused > faults.length && `, the first ${faults.length} are shown`}
          </p>
          <Table
            caption="What is wrong in it, in order of lines"
            rows={faults.slice(0, 100)}
            keyOf={({ line, column }, i) => `${line} ${column} ${i}`}
            columns={[
              { head: 'Line', names: true, form: 'nowrap', cell: ({ line }) => line || 'all' },
              { head: 'Column', cell: ({ column }) => column || 'whole row' },
              { head: 'What is wrong', form: 'note', cell: ({ problem }) => problem },
              { head: 'What to do', form: 'note', cell: ({ remedy }) => remedy },
            ]}
          />
        </div>
      )}
      {samples.length > 0 && (
        <div>
          <h4>First parts, as understood</h4>
          <Table
            caption="First parts, as understood"
            rows={samples}
            keyOf={({ serial }, i) => `${serial} ${i}`}
            columns={[
              { head: 'Part', names: true, cell: ({ part, serial }) => [part, serial].filter(Boolean).join(' ') },
              { head: 'Feature', cell: ({ feature }) => feature },
              {
                head: 'Machine',
                cell: ({ machine, axis }) => [nameOf(theShop.machines, machine), axis].filter(Boolean).join(' '),
              },
              ['Nominal', ({ nominal }) => formatLength(nominal, system)],
              ['Deviation', ({ nominal, measured }) => formatGrowth(measured - nominal, system)],
              { head: 'Cut', form: 'nowrap', cell: ({ from }) => formatDateTime(from, theShop) },
            ]}
          />
        </div>
      )}
    </>
  )
}
