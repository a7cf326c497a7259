import { formatFineGrowth, formatLength, formatSlope, type UnitSystem } from '../../core/format.js'
import type { ArmAnswer, PlannedTool } from '../../core/spindle/index.js'
import { Card } from '../frame/card.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'

const fromWords: Record<ArmAnswer['from'], string> = {
  stated: 'as it is stated in the list',
  'since datum': 'by how the column’s temperatures changed since the datum',
  now: 'by the column’s temperatures now, against an evenly warm one; no datum is recorded',
}

/** "longer by 25 mm" */
const differenceWords = (difference: number, system: UnitSystem): string =>
  Math.abs(difference) < 5e-5
    ? 'alike'
    : `${formatLength(Math.abs(difference), system)} ${difference > 0 ? 'longer' : 'shorter'}`

/** What a tilt of the head makes of tools of unlike length, and of an indicator at another height. */
export const ArmsCard = ({ arms, tools }: { arms: ArmAnswer | null; tools: readonly PlannedTool[] }) => {
  const system = units.value
  const beyond = arms?.tools.filter(each => each.beyond) ?? []
  return (
    <Card id="unlike-lengths" text="Unlike lengths and heights" about="spindle#unlike-lengths-and-heights">
      {!arms && (
        <p class="quiet">
          Not known: no column that bends is described for this machine, or its temperatures are not known now. State
          the tilt of the head in the list to see what it makes of tools of unlike length.
        </p>
      )}
      {arms && (
        <>
          <p>
            The head tilts by {formatSlope(arms.slope, system).replace('+', '')}
            {arms.axis !== null && ` along ${arms.axis}`}, {fromWords[arms.from]}. A longer tool carries that further.
          </p>
          {beyond.length > 0 && (
            <p class="problem" role="note">
              <strong>Beyond their share: {beyond.map(({ tool }) => tools[tool]!.name).join(', ')}.</strong> Keep tool
              lengths alike, zero with the tool itself, or wait until the column is evenly warm.
            </p>
          )}
          <Table
            caption="What the tilt makes of tool lengths"
            rows={arms.tools}
            keyOf={({ tool }) => tool}
            columns={[
              { head: 'Tool', names: true, cell: ({ tool }) => tools[tool]!.name },
              ['Length', ({ tool }) => formatLength(tools[tool]!.length, system)],
              [`Against ${tools[0]!.name}`, each => differenceWords(each.tools.difference, system)],
              ['Error', each => formatFineGrowth(each.tools.error, system, 'plain')],
              [
                'Against the growth test',
                ({ indicator }) => (indicator ? differenceWords(indicator.difference, system) : 'length not noted'),
              ],
              ['Its error', ({ indicator }) => (indicator ? formatFineGrowth(indicator.error, system, 'plain') : '–')],
              ['May be', ({ tool }) => formatFineGrowth(tools[tool]!.tolerance * tools[tool]!.share, system, 'plain')],
              {
                head: 'Within',
                cell: each => (each.beyond ? <strong>beyond</strong> : 'yes'),
              },
            ]}
          />
          <p class={arms.indicator?.beyond ? 'problem' : 'quiet'} role={arms.indicator?.beyond ? 'note' : undefined}>
            {arms.indicator
              ? `The growth test was read ${formatLength(Math.abs(arms.indicator.difference), system)} ${arms.indicator.difference > 0 ? 'above' : 'below'} the work: that makes ${formatFineGrowth(arms.indicator.error, system, 'plain')}${arms.indicator.beyond ? ', beyond the closest tool’s share. Put the indicator at the height of the tools.' : '.'}`
              : 'What another height of the indicator makes is not known: note its height with the growth test, and the height of the work in the list.'}
          </p>
        </>
      )}
    </Card>
  )
}
