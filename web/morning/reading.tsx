import { formatGrowth, type UnitSystem } from '../../core/format.js'
import type { Machine, Shop } from '../../core/shop.js'
import type { JudgedMeasurement, LearningAnswer } from '../../server/http/schemas/measured.js'
import { ask, machinePath } from '../api.js'
import { MeasurementDialog } from '../machine/measurement-dialogs.js'
import { units } from '../preferences.js'

/** the last reading of a machine beside what was computed for it */
const compared = ({ axis, value, uncertainty, computed, why }: JudgedMeasurement, system: UnitSystem): string => {
  const read = `${axis} read ${formatGrowth(value, system)}`
  if (computed === null) return `${read}. What was expected cannot be told${why && `: ${why}`}.`
  const apart = value - computed
  const within = Math.abs(apart) <= 2 * uncertainty
  return `${read}, expected ${formatGrowth(computed, system)}: ${formatGrowth(Math.abs(apart), system, 'plain')} apart, ${
    within
      ? 'no more than the reading itself is uncertain by'
      : `more than the ${formatGrowth(2 * uncertainty, system, 'plain')} that the reading itself is uncertain by`
  }.`
}

interface Props {
  machine: Machine
  shop: Shop
  onDone: (said: string) => void
  onClose: () => void
}

/** A reading on a master or reference sphere, and how it compares with what was expected. */
export const ReadingDialog = ({ machine, shop, onDone, onClose }: Props) => (
  <MeasurementDialog
    machine={machine}
    zone={shop}
    onDone={async () => {
      onDone(`Reading on ${machine.name} stored.`)
      const { measurements } = await ask<LearningAnswer>(machinePath(machine.id, 'learning'))
      const last = measurements.reduce<JudgedMeasurement | null>((a, b) => (a && a.id > b.id ? a : b), null)
      if (last) onDone(`${machine.name}: ${compared(last, units.value)}`)
    }}
    onClose={onClose}
  />
)
