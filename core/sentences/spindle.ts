import { formatDuration, formatFineGrowth, formatSpeed } from '../format.js'
import type { SpindleWarning } from '../spindle/index.js'
import { at, listed, type Reader, type Sentence, size } from './reader.js'

/** What who looks at a spindle's growth must know. */
export const saySpindleWarning = (warning: SpindleWarning, reader: Reader): Sentence => {
  switch (warning.kind) {
    case 'changed': {
      const { speed, change, halfInterval, since } = warning
      return {
        text: `It grows ${size(change, reader)} ${change > 0 ? 'more' : 'less'} at ${formatSpeed(speed)} than in the test of ${at(since, reader)}`,
        more: `That is beyond what both tests leave open (± ${formatFineGrowth(halfInterval, reader.system, 'plain')}). A spindle whose growth changes is telling something about its bearings, their preload or lubrication, or its cooling: have it looked at.`,
      }
    }
    case 'does not fit':
      return {
        text: 'The readings do not follow the law that is assumed of a spindle',
        more: `It leaves ${formatFineGrowth(warning.misfit, reader.system, 'plain')} (standard) undescribed: do not plan with it. A cooler that switches, a growth that waits, or an indicator that slipped can be behind it.`,
      }
    case 'late':
      return {
        text: 'Growth first goes the other way, or waits, after a change of speed',
        more: 'The law that is assumed cannot do that: it is off in the first minutes.',
      }
    case 'too short': {
      const [few, last] = [warning.speeds.slice(0, -1), warning.speeds.at(-1)!]
      const named = listed([...few.map(each => formatSpeed(each).replace(' 1/min', '')), formatSpeed(last)])
      return {
        text: `${named} ${few.length > 0 ? 'were' : 'was'} not run long enough`,
        more: 'Growth was still on its way when the step ended; where it leads is known within its interval only. Run longer steps next time.',
      }
    }
    case 'outliers':
      return {
        text: `${warning.count} ${warning.count === 1 ? 'reading lies' : 'readings lie'} too far off to be believed`,
        more: `${warning.count === 1 ? 'It is' : 'They are'} shown in the chart, crossed, and ${warning.count === 1 ? 'counts' : 'count'} for nothing.`,
      }
    case 'cannot be fitted':
      return { text: 'The test tells nothing yet', more: `${warning.why}.` }
  }
}

/** "about 24 min", with how sure that is. @param seconds s */
export const sayTimeConstant = ({
  seconds,
  standardError,
}: {
  seconds: number
  standardError: number | null
}): string =>
  standardError === null || standardError > seconds
    ? `${formatDuration(seconds)} (hardly known)`
    : `${formatDuration(seconds)} ± ${formatDuration(1.645 * standardError)}`
