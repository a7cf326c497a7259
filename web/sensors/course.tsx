import { formatShare, formatTemperature, notKnown, type UnitSystem } from '../../core/format.js'
import type { Sensor } from '../../core/shop.js'
import { drawCourse } from './draw-course.js'

const size = { width: 120, height: 24 }
/** K; a scale is at least so high */
const leastKelvin = 1

interface Props {
  values: readonly (number | null)[]
  sensor: Sensor | undefined
  system: UnitSystem
}

/** A sensor's last 24 hours as a small line; between which values it moved is said in words. */
export const Course = ({ values, sensor, system }: Props) => {
  const state = sensor?.unit === 'state'
  const drawing = drawCourse(values, size, state ? 1 : leastKelvin)
  if (!drawing) return <>{notKnown}</>
  const known = values.filter(value => value !== null)
  const { path, end, lowest, highest } = drawing
  const words = state
    ? `open or running ${formatShare(known.reduce((sum, value) => sum + value, 0) / known.length)} of the time`
    : `${formatTemperature(lowest, system)} to ${formatTemperature(highest, system)}`
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
