import type { LocalTime } from './calendar.js'
import type { WeatherPlant } from './plant.js'
import { createWander, type Random } from './random.js'

/** What makes up the outdoor temperature; a scenario may put it together in another way. */
export interface WeatherParts {
  /** °C; usual for the date */
  season: number
  /** K; warmest at three in the afternoon */
  day: number
  /** K; the air mass of these days */
  airMass: number
  /** 0..1; clear sky */
  clear: number
}

export interface Weather {
  /** °C */
  outdoors: number
  /** 0..1 of the noon sun under a clear sky */
  sun: number
}

export const ordinaryOutdoors = (parts: WeatherParts): number => parts.season + parts.day + parts.airMass

/**
 * Outdoor weather: season by date, the day's swing, wandering air masses, sun behind changing clouds.
 * The sun's height is that of 48° north, solar noon at noon.
 *
 * @param outdoors puts the outdoor temperature together, °C
 */
export const createWeather = (plant: WeatherPlant, random: Random, outdoors: (parts: WeatherParts) => number) => {
  const airMass = createWander(random, plant.airMasses.spread, plant.airMasses.memory)
  const clouds = createWander(random, 1, 5 * 3600)
  const parts: WeatherParts = { season: 0, day: 0, airMass: 0, clear: 0 }
  const weather: Weather = { outdoors: 0, sun: 0 }
  const latitude = (48 * Math.PI) / 180

  /** @param h s since the last call; 0 to begin */
  return (local: LocalTime, h: number): Weather => {
    const year = (2 * Math.PI * (local.dayOfYear - 200)) / 365.25
    const summer = 0.5 + 0.5 * Math.cos(year)
    const swing = plant.daySwing.winter + (plant.daySwing.summer - plant.daySwing.winter) * summer
    parts.clear = 1 / (1 + Math.exp(-2 * clouds.advance(h)))
    parts.season = plant.yearMean + plant.season * Math.cos(year)
    parts.day = swing * (0.5 + 0.5 * parts.clear) * Math.cos((2 * Math.PI * (local.hour - 15)) / 24)
    parts.airMass = airMass.advance(h)

    const declination = 0.409 * Math.cos((2 * Math.PI * (local.dayOfYear - 172)) / 365.25)
    const hourAngle = ((local.hour - 12) * Math.PI) / 12
    const height =
      Math.sin(latitude) * Math.sin(declination) + Math.cos(latitude) * Math.cos(declination) * Math.cos(hourAngle)

    weather.outdoors = outdoors(parts)
    weather.sun = Math.max(0, height) * (0.2 + 0.8 * parts.clear)
    return weather
  }
}
