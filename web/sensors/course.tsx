import { formatGrowth, formatShare, formatSpeed, formatTemperature, notKnown } from '../../core/format.js'
import { isThermometer, type Sensor } from '../../core/shop.js'
import { units } from '../preferences.js'
import { drawCourse } from './draw-course.js'

const size = { width: 120, height: 24 }
/** K; a scale is at least so high */
const leastKelvin = 1

/** in the unit that its values have: a state, 60 1/min, µm, K */
const least = (sensor: Sensor | undefined): number =>
  !sensor || isThermometer(sensor) ? leastKelvin : sensor.unit === 'state' || sensor.unit === '1/min' ? 1 : 5e-6

interface Props {
  values: readonly (number | null)[]
  sensor: Sensor | undefined
}

/** A sensor's last 24 hours as a small line; between which values it moved is said in words. */
export const Course = ({ values, sensor }: Props) => {
  const system = units.value
  const state = sensor?.unit === 'state'
  const drawing = drawCourse(values, size, least(sensor))
  if (!drawing) return <>{notKnown}</>
  const known = values.filter(value => value !== null)
  const { path, end, lowest, highest } = drawing
  const written = (value: number) =>
    sensor?.unit === '1/min'
      ? formatSpeed(value)
      : !sensor || isThermometer(sensor)
        ? formatTemperature(value, system)
        : formatGrowth(value, system)
  const words = state
    ? `open or running ${formatShare(known.reduce((sum, value) => sum + value, 0) / known.length)} of the time`
    : `${written(lowest)} to ${written(highest)}`
  return (
    <svg
      class="course"
      viewBox={`-3 -3 ${size.width + 6} ${size.height + 6}`}
      preserveAspectRatio="none"
      role="img"
      aria-label={`Last 24 h: ${words}`}
    >
      <title>{words}</title>
      <path d={path} />
      {/* a dot that stays round when the picture is stretched */}
      <path class="course-end" d={`M${end.x} ${end.y}h0`} />
    </svg>
  )
}
