import type { BatteryForm, SignalForm } from '../../core/shop.js'
import { bounded, choice, or, percent } from './readers.js'
import { inWords, type Reader, value } from './section.js'

/** V; more is no battery of a sensor */
const mostVolts = 100

const volts: Reader<number> = raw => {
  const number = typeof raw === 'string' ? /^\s*(\d+(?:\.\d+)?)\s*V\s*$/.exec(raw)?.[1] : undefined
  if (number !== undefined && Number(number) > 0 && Number(number) <= mostVolts) return { value: Number(number) }
  return { problem: `${inWords(raw)} is not a voltage of a battery`, remedy: 'write a number and V, for example 2.6 V' }
}

/** a share as it stands in the file, in % */
export const lowPercent: Reader<number> = raw => {
  const parsed = bounded(
    percent,
    each => each > 0 && each < 1,
    'write a share above 0 and below 100 %, such as 20 %',
  )(raw)
  return 'value' in parsed ? { value: Number((parsed.value * 100).toFixed(6)) } : parsed
}

/** a key that has its meaning only beside another, and then must or may be there */
const beside =
  <T>(other: string, written: Record<string, unknown>, read: Reader<T>, missing?: string): Reader<T | undefined> =>
  raw => {
    if (written[other] === undefined)
      return raw === undefined
        ? { value: undefined }
        : {
            problem: `there is no ${other} that this could be for`,
            remedy: `write ${other} as well, or leave this out`,
          }
    if (raw !== undefined) return read(raw)
    return missing === undefined ? { value: undefined } : { problem: `${other} has no unit`, remedy: missing }
  }

/**
 * The keys that say where a device tells of its battery and its signal.
 *
 * @param where   reads a path, or the name of a metric
 * @param written the section they stand in
 */
export const deviceKeys = (where: Reader<string>, written: Record<string, unknown>) => ({
  battery: value(or(where, undefined)),
  'battery unit': value(beside('battery', written, choice('%', 'V'), "write battery unit: '%' or battery unit: V")),
  'low battery': value(beside('battery', written, written['battery unit'] === 'V' ? volts : lowPercent)),
  signal: value(or(where, undefined)),
  'signal unit': value(beside('signal', written, choice('dBm', '%'), "write signal unit: dBm or signal unit: '%'")),
})

interface DeviceKeys {
  battery: string | undefined
  batteryUnit: BatteryForm['unit'] | undefined
  lowBattery: number | undefined
  signal: string | undefined
  signalUnit: SignalForm['unit'] | undefined
}

/** What those keys say together. */
export const deviceForms = ({ battery, batteryUnit: unit, lowBattery: low, signal, signalUnit }: DeviceKeys) => ({
  battery: battery !== undefined && unit ? { at: battery, unit, ...(low !== undefined && { low }) } : undefined,
  signal: signal !== undefined && signalUnit ? { at: signal, unit: signalUnit } : undefined,
})
