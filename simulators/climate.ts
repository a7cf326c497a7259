import type { ClimatePlant } from './plant.js'

/** What the heating and cooling of a zone does at a moment. */
interface Climate {
  /** W into the zone's air, heater and cooler together */
  heat: number
  heaterOn: boolean
  coolerOn: boolean
  /** °C; what a conditioned zone asks of its vent */
  supply: number
}

/**
 * The control of one zone. A thermostat switches its heater fully on below `set − band` and off above `set + band`; the
 * heater follows with its own lag, so the air swings a little beyond the band. A cooler works the same way, one kelvin
 * above. A conditioned zone has a steady control (proportional and integral) that leads the temperature of its vent's
 * air, with the ripple of its chilled water.
 *
 * @param nightSet °C asked for outside working hours, in place of the plant's; null for the plant's
 * @param coolingPart 0..1, how much of its power the cooler has
 */
export const createClimate = (plant: ClimatePlant, nightSet: number | null, coolingPart: number) => {
  const climate: Climate = { heat: 0, heaterOn: false, coolerOn: false, supply: 20 }
  let heater = 0
  let cooler = 0
  let correction = 0

  /** @param air °C, @param h s, @param time s, any origin, @param byDay whether it keeps what it keeps by day */
  return (air: number, h: number, time: number, byDay: boolean): Climate => {
    if (plant.kind === 'conditioned') {
      const short = plant.set - air
      correction = Math.max(-15, Math.min(15, correction + (plant.gain * short * h) / plant.resetTime))
      const ripple = plant.ripple * Math.sin((2 * Math.PI * time) / plant.period)
      climate.supply = Math.max(6, Math.min(45, plant.set + plant.gain * short + correction + ripple))
      return climate
    }
    const set = byDay ? plant.day : (nightSet ?? plant.night)
    if (air < set - plant.band) climate.heaterOn = true
    if (air > set + plant.band) climate.heaterOn = false
    const cool = byDay ? plant.day + 1 : plant.nightCooling
    if (air > cool + plant.band) climate.coolerOn = true
    if (air < cool - plant.band) climate.coolerOn = false
    const follow = 1 - Math.exp(-h / plant.lag)
    heater += ((climate.heaterOn ? plant.heater : 0) - heater) * follow
    cooler += ((climate.coolerOn ? plant.cooler * coolingPart : 0) - cooler) * follow
    climate.heat = heater - cooler
    return climate
  }
}
