import { units } from '../preferences.js'
import { positionOn, scaleNumber, scaleNumbers, type WindowScale, wallScale } from './scale.js'

/** The numbers of the scale, in line with the windows they belong to. */
export const ScaleNumbers = ({ scale }: { scale: WindowScale }) => (
  <div class="scale" aria-hidden="true">
    <div class="scale-numbers">
      {scaleNumbers(scale).map(length => (
        <span key={length} style={{ '--at': positionOn(scale, length).at }}>
          {scaleNumber(length, units.value)}
        </span>
      ))}
    </div>
    <span class="scale-unit">{wallScale[units.value].unit}</span>
  </div>
)
