import { formatDuration, formatGrowth, formatShare } from '../../core/format.js'
import type { InvestigatedGroup, InvestigatedPart, RejectCurve } from '../../core/investigation/index.js'
import type { Shop } from '../../core/shop.js'
import { PairChart } from '../charts/pair-chart.js'
import { wallScale } from '../charts/scale.js'
import { Card } from '../frame/card.js'
import { CsvDownload } from '../frame/csv-download.js'
import { units } from '../preferences.js'
import { unbroken } from '../words.js'
import { type Investigated, partShape, sharedOffset } from './parts.js'
import { Verdicts } from './verdicts.js'

const lowest = (values: readonly number[]) => values.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY)
const highest = (values: readonly number[]) => values.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY)

/** Measured against predicted, with the fitted slope and the one that physics expects. */
const Scatter = ({ group, parts }: Pick<Investigated, 'group' | 'parts'>) => {
  const system = units.value
  const known = parts.flatMap(part => (part.predicted ? [{ ...part, predicted: part.predicted }] : []))
  if (known.length < 2) return <p class="empty">Too few parts can be predicted.</p>
  const xs = known.map(({ predicted }) => predicted.error)
  const ys = known.map(({ deviation, offset }) => deviation - offset)
  const [left, right] = [lowest(xs), highest(xs)]
  const wide = Math.max(right - left, 2e-6)
  const [meanX, meanY] = [xs, ys].map(all => all.reduce((sum, each) => sum + each, 0) / all.length) as [number, number]
  const offset = sharedOffset(parts)
  const slope = group.finding.slope
  const through = (m: number, x: number): readonly [number, number] => [x, meanY + m * (x - meanX)]
  const ends = [left - 0.06 * wide, right + 0.06 * wide] as const
  const steps = Array.from({ length: 21 }, (_, i) => ends[0] + ((ends[1] - ends[0]) * i) / 20)
  const limits = [group.upper, group.lower].filter(each => each !== null)
  const [down, up] = [lowest([...ys, ...limits]), highest([...ys, ...limits])]
  const tall = Math.max(up - down, 4e-6)
  return (
    <PairChart
      label={`Measured deviation over predicted error of ${known.length} parts${slope ? `; fitted slope ${slope.value.toFixed(2)}, expected 1` : ''}.`}
      x={{ low: ends[0], high: ends[1], scale: wallScale[system], name: 'predicted error at the cut' }}
      y={{ low: down - 0.08 * tall, high: up + 0.08 * tall, scale: wallScale[system], name: 'measured deviation' }}
      levels={[
        ...(group.upper === null ? [] : [{ y: group.upper, text: 'upper limit' }]),
        ...(group.lower === null ? [] : [{ y: group.lower, text: 'lower limit' }]),
      ]}
      bands={
        slope && slope.low !== null && slope.high !== null
          ? [
              steps.map(x => {
                const [a, b] = [through(slope.low!, x)[1], through(slope.high!, x)[1]]
                return [x, Math.min(a, b), Math.max(a, b)] as const
              }),
            ]
          : []
      }
      lines={[
        { class: 'pair-line is-expected', style: 1, points: ends.map(x => [x, x + offset] as const) },
        ...(slope ? [{ class: 'pair-line', points: ends.map(x => through(slope.value, x)) }] : []),
      ]}
      points={known.map(part => ({
        x: part.predicted.error,
        y: part.deviation - part.offset,
        title: `${part.serial}: measured ${formatGrowth(part.deviation, system)}, predicted ${formatGrowth(part.predicted.error, system)}`,
        ...partShape(part),
      }))}
    >
      <figcaption class="quiet">
        Whole line: fitted{slope && `, slope ${slope.value.toFixed(2).replace('-', '−')}`}. Dashed: slope 1, as physics
        expects.
      </figcaption>
    </PairChart>
  )
}

const percentScale = { unit: '%', of: (share: number) => 100 * share }

/** How often a part was rejected, over the error that heat predicts for it. */
const Curve = ({ curve, parts }: { curve: RejectCurve; parts: readonly InvestigatedPart[] }) => {
  const system = units.value
  const known = parts.flatMap(({ predicted, reject, serial }) =>
    predicted ? [{ x: Math.abs(predicted.error), reject, serial }] : [],
  )
  const most = highest([...known.map(({ x }) => x), ...curve.points.map(({ error }) => error), 1e-6])
  const banded = curve.points.every(({ low, high }) => low !== null && high !== null)
  return (
    <>
      <PairChart
        label={`Share of rejects over the predicted error without its sign, in ${curve.bins.length} groups of parts${curve.half === null ? '' : `; half are rejected at ${formatGrowth(curve.half, system, 'plain')}`}.`}
        x={{
          low: 0,
          high: 1.03 * most,
          scale: wallScale[system],
          name: 'predicted error at the cut, without its sign',
        }}
        y={{ low: -0.08, high: 1.08, scale: percentScale, name: 'rejected' }}
        bands={banded ? [curve.points.map(({ error, low, high }) => [error, low!, high!] as const)] : []}
        lines={[
          { class: 'pair-line', points: curve.points.map(({ error, probability }) => [error, probability] as const) },
        ]}
        bars={curve.bins.map(({ from, to, parts: of, rejects, share }) => ({
          x: (from + to) / 2,
          y: share.value,
          low: share.low ?? 0,
          high: share.high ?? 1,
          text: `${rejects} of ${of}`,
        }))}
        points={known.map(({ x, reject, serial }) => ({
          x,
          y: reject === null ? -0.04 : 1.04,
          title: serial,
          ...partShape({ reject }),
        }))}
        places={
          curve.half !== null && curve.half > 0 && curve.half < most
            ? [{ x: curve.half, text: `half at ${formatGrowth(curve.half, system, 'plain')}` }]
            : []
        }
      />
      {curve.separated && (
        <p class="quiet">
          Rejects and good parts lie apart, so that the curve has no interval: more parts would give it one.
        </p>
      )}
    </>
  )
}

/** Verdicts of work that is zeroed at its start do not count what moved since the datum; parts cut from it do. */
const unlike = ({ workClasses }: Shop, { verdicts, zeroed, cut }: InvestigatedGroup): string => {
  const judged = workClasses.find(({ id }) => id === verdicts?.workClass)
  return judged?.zeroedAt === 'job start' && zeroed === 'datum' && cut === 'one side'
    ? `Work of ${judged.name} is zeroed when a job starts, so its verdicts leave out what had moved since the datum. These parts were cut from the datum: what heat predicts of them counts it, and can be far off while the wall said fit.`
    : ''
}

export const ToldCard = ({ group, parts, shop }: Investigated) => {
  const { curve, verdicts, lag } = group
  const apart = unlike(shop, group)
  return (
    <Card id="told" text="How it was told" about="was-it-heat#the-pictures">
      <div class="investigate-pair">
        <div>
          <h3>Measured against predicted</h3>
          <Scatter group={group} parts={parts} />
        </div>
        <div>
          <div class="panel-head">
            <h3>How often a part was rejected</h3>
            {curve && (
              <CsvDownload
                name="reject-curve"
                about="How often a part was rejected as CSV"
                columns={['errorMetres', 'probability', 'low', 'high']}
                rows={() => curve.points.map(({ error, probability, low, high }) => [error, probability, low, high])}
              />
            )}
          </div>
          {curve ? (
            <Curve curve={curve} parts={parts} />
          ) : (
            <p class="empty">All parts were good, or none: there is nothing to compare.</p>
          )}
        </div>
        <div>
          <div class="panel-head">
            <h3>What the wall said when the part was cut</h3>
            {verdicts && (
              <CsvDownload
                name="verdict-table"
                about="What the wall said as CSV"
                columns={['wallSaid', 'good', 'rejects']}
                rows={() => [
                  ['fit', verdicts.fit.good, verdicts.fit.rejects],
                  ['not fit', verdicts.notFit.good, verdicts.notFit.rejects],
                  ['unknown', verdicts.unknown.good, verdicts.unknown.rejects],
                ]}
              />
            )}
          </div>
          {apart && <p>{apart}</p>}
          {verdicts ? <Verdicts table={verdicts} /> : <p class="empty">The shop has no work class, so no verdicts.</p>}
        </div>
        {lag && (
          <div>
            <div class="panel-head">
              <h3>How late the parts follow the air</h3>
              <CsvDownload
                name="delay"
                about="How late the parts follow the air as CSV"
                columns={['of', 'seconds', 'varianceExplained']}
                rows={() => [
                  ['deviations', lag.deviations, lag.explained],
                  ['predictions', lag.predictions, null],
                  ['time constant of the slowest body of the axis', lag.slowest, null],
                ]}
              />
            </div>
            <p>
              {lag.deviations === null
                ? 'No delay goes better with the parts than another, or none that a body of the machine could have: the rhythm of the day hides it.'
                : `The air explains most of the parts when it is taken ${formatDuration(lag.deviations)} before the cut${lag.explained === null ? '' : ` (${formatShare(lag.explained)} of the variance)`}.`}{' '}
              {lag.predictions !== null && `By the prediction ${formatDuration(lag.predictions)} are to be expected.`}{' '}
              {lag.slowest !== null &&
                unbroken(
                  `The slowest part of the machine on this axis has a time constant of ${formatDuration(lag.slowest)}.`,
                )}
            </p>
          </div>
        )}
      </div>
    </Card>
  )
}
