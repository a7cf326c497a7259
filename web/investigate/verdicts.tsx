import { formatShare } from '../../core/format.js'
import type { ToldFigure, VerdictTable } from '../../core/investigation/index.js'
import { sayChance } from '../../core/sentences/index.js'
import { VerdictMark } from '../shapes/verdict.js'
import { counted } from '../words.js'
import { shapes } from './parts.js'

const between = ({ low, high }: ToldFigure) =>
  low === null || high === null ? '' : ` (${formatShare(low)} to ${formatShare(high)})`

const Marks = ({ good, rejects }: { good: number; rejects: number }) => {
  const shown = Math.min(good, 120)
  return (
    <span class="flow part-marks" aria-hidden="true">
      {Array.from({ length: Math.min(rejects, 60) }, (_, i) => (
        <svg key={`r${i}`} viewBox="-8 -8 16 16" aria-hidden="true">
          <path class="track-point is-reject" d={shapes.reject} />
        </svg>
      ))}
      {Array.from({ length: shown }, (_, i) => (
        <svg key={`g${i}`} viewBox="-8 -8 16 16" aria-hidden="true">
          <path class="track-point is-good" d={shapes.good} />
        </svg>
      ))}
      {good > shown && '…'}
    </span>
  )
}

/** What the wall said when the parts were cut: good ones cut while not fit are counted too. */
export const Verdicts = ({ table }: { table: VerdictTable }) => {
  const rows = [
    { key: 'fit', verdicts: ['fit'] as const, counts: table.fit },
    { key: 'not', verdicts: ['unfit', 'settling'] as const, counts: table.notFit },
    { key: 'unknown', verdicts: ['unknown'] as const, counts: table.unknown },
  ].filter(({ counts }) => counts.good + counts.rejects > 0)
  const all = table.notFit.good + table.notFit.rejects
  return (
    <>
      <table class="table verdict-table">
        <caption class="hidden">Parts by the verdict at their cut</caption>
        <thead>
          <tr>
            <th scope="col">The wall said</th>
            <th scope="col" class="number">
              Within limits
            </th>
            <th scope="col" class="number">
              Rejects
            </th>
            <th scope="col">
              <span class="hidden">Picture</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ key, verdicts, counts }) => (
            <tr key={key}>
              <th scope="row">
                {verdicts.map(verdict => (
                  <VerdictMark key={verdict} verdict={verdict} />
                ))}
              </th>
              <td class="number">{counts.good}</td>
              <td class="number">
                <strong>{counts.rejects}</strong>
              </td>
              <td>
                <Marks {...counts} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {table.rejectedFit && table.rejectedNotFit && (
        <p>
          Cut while fit, {formatShare(table.rejectedFit.value)} were rejected{between(table.rejectedFit)}; cut while not
          fit, {formatShare(table.rejectedNotFit.value)}
          {between(table.rejectedNotFit)}.
          {table.oddsRatio &&
            ` The odds of a reject were ${table.oddsRatio.value.toFixed(1)} times as high while not fit${
              table.oddsRatio.low === null
                ? ''
                : ` (${table.oddsRatio.low.toFixed(1)}${table.oddsRatio.high === null ? ' or more' : ` to ${table.oddsRatio.high.toFixed(1)}`})`
            }.`}
        </p>
      )}
      {table.exact !== null && (
        <p>
          If verdict and reject had nothing to do with each other, a table as uneven would come{' '}
          <strong>{sayChance(table.exact)}</strong> (Fisher’s exact test).{' '}
          {table.halfDays === null
            ? 'That test takes parts as independent of each other, which parts of one half day are not; there are too few half days to try it otherwise.'
            : `But parts of one half day are not independent of each other: with half days exchanged for the same halves of other days it comes ${sayChance(table.halfDays)} (${table.exchanges} ways tried). The weaker one of the two counts.`}
        </p>
      )}
      {table.notFit.good > 0 && (
        <p>
          The other side of it: {table.notFit.good} of the {counted(all, 'part')} cut while not fit turned out good. A
          verdict warns of what may come, not of what will.
        </p>
      )}
    </>
  )
}
