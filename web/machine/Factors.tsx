import { formatDateTime, formatFactor, formatGrowth, notKnown, type UnitSystem } from '../../core/format.js'
import { Scrolls } from '../frame/Scrolls.js'
import type { LearningAnswer } from '../measured.js'

interface Props {
  answer: LearningAnswer
  system: UnitSystem
  zone: string
}

/** The factor of each element: before measuring, learned, and in use. */
export const Factors = ({ answer, system }: Omit<Props, 'zone'>) => {
  const { factors, inUse, heldOut, scatter } = answer
  return (
    <>
      {heldOut && (
        <dl class="figures">
          <div>
            <dt>Error on days held out, nominal model</dt>
            <dd>{formatGrowth(heldOut.nominal, system, 'plain')}</dd>
          </div>
          <div>
            <dt>The same with learned factors</dt>
            <dd>{formatGrowth(heldOut.corrected, system, 'plain')}</dd>
          </div>
          <div>
            <dt>Days on which the learned ones were better</dt>
            <dd>
              {heldOut.better} of {heldOut.occasions}
            </dd>
          </div>
        </dl>
      )}
      <Scrolls label="Factors">
        <table class="table">
          <caption class="hidden">Scale factors of the elements of the thermal loop</caption>
          <thead>
            <tr>
              <th scope="col">Element</th>
              <th scope="col">Axis</th>
              <th scope="col" class="number">
                Before measuring (k = 2)
              </th>
              <th scope="col" class="number">
                Learned (k = 2)
              </th>
              <th scope="col" class="number">
                In use
              </th>
            </tr>
          </thead>
          <tbody>
            {factors.map(f => (
              <tr key={f.element}>
                <th scope="row">{f.element}</th>
                <td>{f.axes.join(', ')}</td>
                <td class="number">{formatFactor(1, 2 * f.prior)}</td>
                <td class="number">
                  {formatFactor(f.factor, 2 * f.uncertainty)}
                  {f.atLimit && ', at its limit'}
                </td>
                <td class="number">{formatFactor(inUse?.factors?.[f.element] ?? 1)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scrolls>
      <p class="quiet">
        Errors are root mean squares; each day is computed with factors learned from the other days only. A factor stays
        between 0.5 and 1.5, and at 1 as far as nothing was measured.
        {scatter > 1.5 &&
          ` The measurements lie ${scatter.toFixed(1)} times as far from the fit as their uncertainties claim, and count for that much less.`}
      </p>
    </>
  )
}

/** What was decided, newest first. */
export const FactorChanges = ({ answer, system, zone }: Props) =>
  answer.changes.length === 0 ? null : (
    <Scrolls label="What was in use">
      <table class="table">
        <caption class="hidden">What was in use, newest first</caption>
        <thead>
          <tr>
            <th scope="col">Since</th>
            <th scope="col">In use</th>
            <th scope="col">Shown then</th>
            <th scope="col">Who</th>
            <th scope="col">Note</th>
          </tr>
        </thead>
        <tbody>
          {answer.changes.map(change => (
            <tr key={change.id}>
              <td class="nowrap">{formatDateTime(change.at, zone)}</td>
              <td class="note">
                {change.factors
                  ? Object.entries(change.factors)
                      .map(([element, factor]) => `${element} ${formatFactor(factor)}`)
                      .join(', ')
                  : 'nominal model'}
              </td>
              <td class="note">
                {change.shown
                  ? `${formatGrowth(change.shown.corrected, system, 'plain')} instead of ${formatGrowth(change.shown.nominal, system, 'plain')} on ${change.shown.occasions} days held out`
                  : notKnown}
              </td>
              <td>{change.by}</td>
              <td class="note">{change.note || notKnown}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolls>
  )
