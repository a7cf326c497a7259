import { formatDateTime, formatFactor, formatGrowth, notKnown, type Zone } from '../../core/format.js'
import type { LearningAnswer } from '../../server/http/schemas/measured.js'
import { Figures } from '../frame/figures.js'
import { signedColumns, Table } from '../frame/table.js'
import { units } from '../preferences.js'

interface Props {
  answer: LearningAnswer
  zone: Zone
}

/** The factor of each element: before measuring, learned, and in use. */
export const Factors = ({ answer }: Omit<Props, 'zone'>) => {
  const system = units.value
  const { factors, inUse, heldOut, birgeRatio } = answer
  return (
    <>
      {heldOut && (
        <Figures
          of={[
            ['Error on days held out, nominal model', formatGrowth(heldOut.nominal, system, 'plain')],
            ['The same with learned factors', formatGrowth(heldOut.corrected, system, 'plain')],
            ['Days on which the learned ones were better', `${heldOut.better} of ${heldOut.occasions}`],
          ]}
        />
      )}
      <Table
        caption="Scale factors of the elements of the thermal loop"
        rows={factors}
        keyOf={({ element }) => element}
        columns={[
          { head: 'Element', names: true, cell: ({ element }) => element },
          { head: 'Axis', cell: ({ axes }) => axes.join(', ') },
          ['Before measuring (k = 2)', ({ prior }) => formatFactor(1, 2 * prior)],
          ['Learned (k = 2)', f => `${formatFactor(f.factor, 2 * f.uncertainty)}${f.atLimit ? ', at its limit' : ''}`],
          ['In use', ({ element }) => formatFactor(inUse?.factors?.[element] ?? 1)],
        ]}
      />
      <p class="quiet">
        Errors are root mean squares; each day is computed with factors learned from the other days only. A factor stays
        between 0.5 and 1.5, and at 1 as far as nothing was measured.
        {birgeRatio > 1.5 &&
          ` The measurements lie ${birgeRatio.toFixed(1)} times as far from the fit as their uncertainties claim, and count for that much less.`}
      </p>
    </>
  )
}

/** What was decided, newest first. */
export const FactorChanges = ({ answer, zone }: Props) =>
  answer.changes.length === 0 ? null : (
    <Table
      caption="What was in use, newest first"
      rows={answer.changes}
      keyOf={({ id }) => id}
      columns={[
        { head: 'Since', form: 'nowrap', cell: ({ at }) => formatDateTime(at, zone) },
        {
          head: 'In use',
          form: 'note',
          cell: ({ factors }) =>
            factors
              ? Object.entries(factors)
                  .map(([element, factor]) => `${element} ${formatFactor(factor)}`)
                  .join(', ')
              : 'nominal model',
        },
        {
          head: 'Shown then',
          form: 'note',
          cell: ({ shown }) =>
            shown
              ? `${formatGrowth(shown.corrected, units.value, 'plain')} instead of ${formatGrowth(shown.nominal, units.value, 'plain')} on ${shown.occasions} days held out`
              : notKnown,
        },
        ...signedColumns,
      ]}
    />
  )
