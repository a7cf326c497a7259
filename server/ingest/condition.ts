import type { BatteryForm, SignalForm } from '../../core/shop.js'
import type { Battery, Signal } from '../../core/state.js'
import { type RefusalReason, reasons } from './reasons.js'
import { toNumber } from './value.js'

/** What a sensor's device tells of itself beside its reading. */
export interface Condition {
  sensor: string
  battery?: Battery
  signal?: Signal
}

/** The same as it is sent, where the form says. */
export interface Telling {
  battery?: { form: BatteryForm; raw: unknown }
  signal?: { form: SignalForm; raw: unknown }
}

/** %; a battery with so much left is low, when the shop file says nothing else. Common practice, no source */
export const usualLowBattery = 20

/** what a battery, or a received signal, can be; beyond it a number means something else. Common practice, no source */
const possible = { '%': [0, 100], V: [0, 100], dBm: [-200, 30] } as const

/** @returns `undefined` for what is no number, with or without its own unit behind it, that this can be */
const numberIn = (raw: unknown, unit: keyof typeof possible): number | undefined => {
  const text = typeof raw === 'string' ? raw.trim() : raw
  const number = toNumber(typeof text === 'string' && text.endsWith(unit) ? text.slice(0, -unit.length) : text)
  const [least, most] = possible[unit]
  return number !== undefined && number >= least && number <= most ? number : undefined
}

type Told<T> = T | { reason: RefusalReason } | undefined

/** most devices tell of it only now and then */
const nothing = (raw: unknown): boolean => raw === undefined || raw === null

/**
 * @param raw        what stands where the battery should be
 * @param lowBattery %, for a form that does not say itself what is low
 * @param at         ms since 1970
 * @returns `undefined` when nothing is told
 */
export const readBattery = (raw: unknown, form: BatteryForm, lowBattery: number, at: number): Told<Battery> => {
  if (nothing(raw)) return undefined
  const { unit } = form
  const value = numberIn(raw, unit)
  if (value === undefined) return { reason: reasons.badBattery }
  const low = form.low ?? (unit === '%' ? lowBattery : undefined)
  return { value, unit, low: low !== undefined && value <= low, at }
}

/** The same for the strength with which the device is received. */
export const readSignal = (raw: unknown, { unit }: SignalForm, at: number): Told<Signal> => {
  if (nothing(raw)) return undefined
  const value = numberIn(raw, unit)
  return value === undefined ? { reason: reasons.badSignal } : { value, unit, at }
}
