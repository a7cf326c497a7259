import { formatShare } from '../../core/format.js'
import type { ToldFigure } from '../../core/investigation/index.js'
import { sayChance, sayFinding, sayOther } from '../../core/sentences/index.js'
import { IntervalScale } from '../charts/interval-scale.js'
import { CardTitle } from '../frame/card.js'
import { CsvDownload } from '../frame/csv-download.js'
import { Table } from '../frame/table.js'
import { unbroken } from '../words.js'
import type { Investigated } from './parts.js'
import { causeName, joined, mainCauses } from './sources.js'

const between = ({ low, high }: ToldFigure, format: (value: number) => string): string =>
  low === null || high === null ? 'no interval can be given' : `${format(low)} to ${format(high)}`

const shares = (value: number) => formatShare(Math.round(value * 100) / 100)

/** The conclusion, its figures with their intervals, and what else it may be: before any picture. */
export const ConclusionCard = ({ group, sources, reader }: Investigated) => {
  const { finding } = group
  const { text, more } = sayFinding(finding, reader)
  const main = finding.conclusion === 'most' || finding.conclusion === 'part' ? mainCauses(sources) : []
  const heat = finding.conclusion !== 'cannot be told'
  return (
    <div class="stack conclusion">
      <div class="conclusion-words">
        <p class="conclusion-text">{text}.</p>
        <p>{unbroken(more)}</p>
        {main.length > 0 && (
          <p>
            The largest part of the movement of {group.axis} came from{' '}
            <strong>{joined(main.map(causeName), 'or')}</strong>
            {main.length > 1
              ? '; it cannot be told which'
              : unbroken(
                  `: ${shares(main[0]!.growth.share.likely)} of it (${shares(main[0]!.growth.share.low)} to ${shares(main[0]!.growth.share.high)})`,
                )}
            .
          </p>
        )}
        {group.rejects > 0 && heat && (
          <p>
            {group.rejectsPredicted === 0
              ? 'By what heat alone predicts, none of the rejects would have been beyond its limit'
              : `Of ${group.rejects} rejects, heat alone takes ${group.rejectsPredicted} beyond the limit`}
            .
          </p>
        )}
        <p class="quiet">
          “Most” means over half explained, “part” over 15 %, with a slope that can be 1 and little room for chance.
          Intervals on this page are 90 %. It says what went together; tool, clamping, gauge and the part’s own
          temperature can only be ruled out as far as the table says.
        </p>
      </div>
      <dl class="conclusion-figures">
        {finding.explained && (
          <div>
            <dt>Variance explained by the prediction</dt>
            <dd>
              <b>{shares(Math.max(0, finding.explained.value))}</b>{' '}
              <span class="quiet">{between(finding.explained, value => shares(Math.max(0, value)))}</span>
            </dd>
            {finding.asPredicted !== null && (
              <dd class="quiet">
                taking the prediction exactly as it stands {shares(Math.max(0, finding.asPredicted))}
              </dd>
            )}
            <dd>
              <IntervalScale
                figure={finding.explained}
                low={0}
                high={1}
                marks={[
                  { at: 0, text: '0 %' },
                  { at: 0.15, text: 'part' },
                  { at: 0.5, text: 'most' },
                  { at: 1, text: '100 %' },
                ]}
              />
            </dd>
          </div>
        )}
        {finding.slope && (
          <div>
            <dt>How far the parts moved against what is predicted</dt>
            <dd>
              <b>{finding.slope.value.toFixed(2).replace('-', '−')}</b>{' '}
              <span class="quiet">{between(finding.slope, value => value.toFixed(2).replace('-', '−'))}</span>
            </dd>
            <dd>
              <IntervalScale
                figure={finding.slope}
                low={Math.min(-0.5, finding.slope.value)}
                high={Math.max(2, finding.slope.value)}
                marks={[
                  { at: 0, text: '0: no heat' },
                  { at: 1, text: '1: expected' },
                ]}
              />
            </dd>
          </div>
        )}
        {finding.chance !== null && (
          <div>
            <dt>By chance it would look so</dt>
            <dd>
              <b>{sayChance(finding.chance)}</b> <span class="quiet">{sayChance(finding.level)} is allowed</span>
            </dd>
            <dd class="quiet">
              The temperatures of other times in their place
              {finding.chanceHalfDays !== null &&
                `; with half days exchanged for the same halves of other days ${sayChance(finding.chanceHalfDays)}`}
              .
            </dd>
          </div>
        )}
      </dl>
    </div>
  )
}

/** What else can have made the parts differ; what cannot be told stays in view. */
export const OtherCauses = ({ group: { finding }, reader }: Investigated) => (
  <section class="panel" aria-labelledby="others">
    <CardTitle id="others" text="What else it may be" about="was-it-heat#the-conclusion">
      <CsvDownload
        name="other-causes"
        about="What else it may be as CSV"
        columns={['suspect', 'answer', 'shareExplained', 'chance', 'effect', 'effectLow', 'effectHigh']}
        rows={() =>
          finding.others.map(({ suspect, answer, explained, chance, effect }) => [
            suspect,
            answer,
            explained,
            chance,
            effect?.value ?? null,
            effect?.low ?? null,
            effect?.high ?? null,
          ])
        }
      />
    </CardTitle>
    <Table
      caption="What else it may be"
      rows={finding.others}
      keyOf={({ suspect }) => suspect}
      columns={[
        { head: 'Suspected', names: true, cell: other => sayOther(other, reader).text.split(':')[0] },
        {
          head: 'Answer',
          form: 'nowrap',
          cell: other => <strong>{sayOther(other, reader).text.split(': ')[1]}</strong>,
        },
        {
          head: 'What the parts say',
          form: 'note',
          cell: other =>
            other.answer === 'not recorded'
              ? 'Nothing in the table tells of it, so it cannot be ruled out.'
              : unbroken(sayOther(other, reader).more),
        },
        {
          head: 'By chance',
          form: 'nowrap',
          cell: ({ chance }) => (chance === null ? '' : sayChance(chance)),
        },
      ]}
    />
  </section>
)
