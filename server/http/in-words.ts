import { type Reader, sayReason, sayRemedy, saySensorFault, shopReader } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import type { MachineState, SensorState, VerdictChange } from '../../core/state.js'
import type { NamedSensor, ShownMachine, ShownVerdict } from './schemas/answers.js'

// What the interface gives with sentences beside the data. The live stream has none: pages make their own, and it stays
// small.

/** Who asks: the units asked for, else the shop's. */
export const readerOf = (shop: Shop, asked: { units?: Reader['system'] | undefined }, now: number): Reader => {
  const reader = shopReader(shop, now)
  return { ...reader, system: asked.units ?? reader.system }
}

export const machineInWords = (state: MachineState, reader: Reader): ShownMachine => ({
  ...state,
  classes: state.classes.map(of => ({
    ...of,
    reasons: of.reasons.map(reason => ({ ...reason, ...sayReason(reason, reader) })),
    remedy: of.remedy && { ...of.remedy, ...sayRemedy(of.remedy, reader) },
  })),
})

export const sensorInWords = (state: SensorState, reader: Reader): Pick<NamedSensor, 'reason' | 'remedy'> => {
  const said = state.fault && saySensorFault(state.fault, reader)
  return { reason: said?.text ?? '', remedy: said?.more ?? '' }
}

/** As it was shown: what its reason says of now is of then. */
export const verdictInWords = ({ reason, ...change }: VerdictChange, reader: Reader): ShownVerdict => ({
  ...change,
  reason: reason ? sayReason(reason, { ...reader, now: change.at }).text : '',
  because: reason,
})
