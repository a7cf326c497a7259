import { differenceScale, formatDifference, formatDuration, formatGrowth } from '../../core/format.js'
import type { Openings, SourcesAnswer } from '../../core/shop-model/index.js'
import { PairChart } from '../charts/pair-chart.js'
import { wallScale } from '../charts/scale.js'
import { Card } from '../frame/card.js'
import { CsvDownload } from '../frame/csv-download.js'
import { units } from '../preferences.js'
import { unbroken } from '../words.js'

const minutes = { unit: 'min', of: (amount: number) => amount }

const Response = ({ of, response }: { of: Openings; response: Openings['responses'][number] }) => {
  const system = units.value
  const isAir = response.of === 'air'
  const scale = isAir ? differenceScale[system] : wallScale[system]
  const all = [...response.mean, ...response.low, ...response.high]
  const edge = 0.08 * (Math.max(...all) - Math.min(...all) || 1)
  const size = (value: number) => (isAir ? formatDifference(value, system) : formatGrowth(value, system))
  const words = response.effect
    ? `${size(response.size)} at most${response.delay === null ? '' : `, ${formatDuration(response.delay)} after it opened`}`
    : 'no effect that stands out'
  return (
    <div>
      <h4>
        {isAir ? 'Air at the machine' : 'Growth'}: {unbroken(words)}
      </h4>
      <div class="is-no-effect">
        <PairChart
          label={`${of.name}: mean change of ${isAir ? 'the air' : 'growth'} after ${of.count} openings: ${words}. The band is where it lies without an opening.`}
          x={{ low: of.minutes[0] ?? 0, high: of.minutes.at(-1) ?? 1, scale: minutes, name: 'since it opened' }}
          y={{ low: Math.min(...all) - edge, high: Math.max(...all) + edge, scale, name: 'change' }}
          bands={[of.minutes.map((minute, i) => [minute, response.low[i]!, response.high[i]!] as const)]}
          lines={[{ class: 'pair-line', points: of.minutes.map((minute, i) => [minute, response.mean[i]!] as const) }]}
          places={[{ x: 0, text: 'opened' }]}
        />
      </div>
    </div>
  )
}

/** Mean response of the machine after a door opened, with the band of no effect. */
export const OpeningsCard = ({ sources, name }: { sources: SourcesAnswer; name: (source: string) => string }) => (
  <Card id="openings" text="After a door opened" about="was-it-heat#from-where">
    <p class="quiet">Mean of all openings. Grey: 90 % of what as many moments without an opening show.</p>
    {sources.openings.map(of => (
      <div key={of.source}>
        <div class="panel-head">
          <h3>
            {of.name}, {of.count} openings of {unbroken(formatDuration(of.lasted))} each
          </h3>
          <CsvDownload
            name={`openings-${of.source}`}
            about={`Response to ${of.name} as CSV`}
            columns={['of', 'minutes', 'mean', 'noEffectLow', 'noEffectHigh']}
            rows={() =>
              of.responses.flatMap(response =>
                of.minutes.map((minute, i) => [
                  response.of,
                  minute,
                  response.mean[i]!,
                  response.low[i]!,
                  response.high[i]!,
                ]),
              )
            }
          />
        </div>
        <div class="investigate-pair">
          {of.responses.map(response => (
            <Response key={response.of} of={of} response={response} />
          ))}
        </div>
      </div>
    ))}
    {sources.openingsCannotBeTold.map(({ source, why }) => (
      <p key={source} class="quiet">
        {name(source)}: cannot be told, {why}
      </p>
    ))}
    {sources.cycles.length > 0 && (
      <>
        <div class="panel-head">
          <h3>The air comes and goes by itself</h3>
          <CsvDownload
            name="cycles"
            about="What comes and goes in the air as CSV"
            columns={['periodSeconds', 'of', 'amplitudeKelvin']}
            rows={() =>
              sources.cycles.flatMap(({ period, amplitude, reaches }) => [
                [period, 'air', amplitude],
                ...reaches.map(each => [period, each.name, each.amplitude]),
              ])
            }
          />
        </div>
        <p>
          Every{' '}
          {sources.cycles
            .map(({ period, amplitude, reaches }) => {
              const most = reaches.reduce<(typeof reaches)[number] | null>(
                (a, b) => (a && a.amplitude >= b.amplitude ? a : b),
                null,
              )
              return `${formatDuration(period)} by ± ${formatDifference(amplitude, units.value, 'plain')}${most ? ` (of it ± ${formatDifference(most.amplitude, units.value, 'plain', 2)} reach the ${most.name})` : ''}`
            })
            .join(', ')}
          .
        </p>
      </>
    )}
    {sources.cyclesCannotBeTold && (
      <p class="quiet">Whether the air cycles cannot be told: {sources.cyclesCannotBeTold}</p>
    )}
  </Card>
)
