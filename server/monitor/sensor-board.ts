import type { Sensor } from '../../core/shop.js'
import type { SensorState, Trust } from '../../core/state.js'
import { faultCode, outOfRange, silence } from '../../core/trust/index.js'
import type { Reading } from '../ingest/reading.js'

/** °C; beyond this no place in or around a shop is plausible */
const plausible = { lowest: -45, highest: 95 }

interface Followed {
  sensor: Sensor
  value: number | null
  /** ms, event time of the value */
  at: number | null
  /** why the value is not believed; empty when it is */
  doubt: string
  trust: Trust
  reason: string
  since: number
  /** why it is gone, by word of its network; empty when it is not */
  gone: string
}

/** The one place that decides whether a sensor is believed. */
export class SensorBoard {
  private readonly followed = new Map<string, Followed>()
  private readonly changed = new Set<string>()

  constructor(sensors: readonly Sensor[]) {
    for (const sensor of sensors) {
      this.followed.set(sensor.id, {
        sensor,
        value: null,
        at: null,
        doubt: '',
        trust: 'lost',
        reason: 'no reading yet',
        since: 0,
        gone: '',
      })
    }
  }

  /**
   * Takes a reading when it is newer than the last.
   *
   * @returns the value with its offset, °C, when it is believed; null otherwise
   */
  take(reading: Reading): number | null {
    const entry = this.followed.get(reading.sensor)
    if (!entry || (entry.at !== null && reading.at <= entry.at)) return null
    const state = entry.sensor.unit === 'state'
    entry.doubt = state
      ? ''
      : (faultCode(reading.value) ?? outOfRange(reading.value, plausible.lowest, plausible.highest) ?? '')
    entry.value = state ? reading.value : reading.value + entry.sensor.offset
    entry.at = reading.at
    entry.gone = ''
    this.changed.add(reading.sensor)
    return entry.doubt ? null : entry.value
  }

  /** Its network says that the sensor is gone, and why, or (null) that it is back; a newer reading says so too. */
  setGone(id: string, reason: string | null): void {
    const entry = this.followed.get(id)
    if (!entry || entry.gone === (reason ?? '')) return
    entry.gone = reason ?? ''
    this.changed.add(id)
  }

  /**
   * Brings every sensor's trust up to a moment.
   *
   * @param now ms
   * @param recordedInterval s; recorded readings may be this far apart, whatever the sensor's own interval
   */
  advance(now: number, recordedInterval = 0): void {
    for (const entry of this.followed.values()) {
      const interval = Math.max(entry.sensor.interval, recordedInterval)
      const quiet = entry.at === null || entry.gone ? 'lost' : silence((now - entry.at) / 1000, interval)
      const trust: Trust = quiet !== 'ok' ? quiet : entry.doubt ? 'suspect' : 'ok'
      if (trust !== entry.trust || entry.since === 0) {
        entry.trust = trust
        entry.since = now
        this.changed.add(entry.sensor.id)
      }
      entry.reason =
        trust === 'ok'
          ? ''
          : trust === 'suspect'
            ? entry.doubt
            : entry.gone || (entry.at === null ? 'no reading yet' : `silent; expected every ${entry.sensor.interval} s`)
    }
  }

  state(id: string): SensorState | undefined {
    const entry = this.followed.get(id)
    return (
      entry && {
        sensor: id,
        value: entry.value,
        at: entry.at,
        trust: entry.trust,
        reason: entry.reason,
        since: entry.since,
      }
    )
  }

  states(): SensorState[] {
    return [...this.followed.keys()].map(id => this.state(id)!)
  }

  takeChanged(): SensorState[] {
    const states = [...this.changed].map(id => this.state(id)!)
    this.changed.clear()
    return states
  }
}
