import type { BuildingChanges } from './building.js'
import { momentOf } from './calendar.js'
import type { Duty } from './duty.js'
import type { Plant } from './plant.js'
import type { FaultKind } from './sensor.js'
import { ordinaryOutdoors, type WeatherParts } from './weather.js'

/** What a scenario changes in the shop. */
export interface Changes extends BuildingChanges {
  /** ms added to the time to get the shop's calendar: a scenario that needs a Monday in January moves there */
  calendarShift: number
  outdoors: (parts: WeatherParts) => number
  /** of the noon sun under a clear sky */
  sun: (sun: number) => number
  duty: (machine: string, time: number) => Duty | null
  /** sensors that break by themselves, and when (ms) */
  breaks: readonly { sensor: string; kind: FaultKind; at: number }[]
}

export interface Scenario {
  /** one line for a list */
  summary: string
  /** what happens when, counted from the anchor */
  pattern: string[]
  changes: (plant: Plant, anchor: number) => Changes
}

const MINUTE = 60_000
const HOUR = 60 * MINUTE

const ordinary: Changes = {
  calendarShift: 0,
  outdoors: ordinaryOutdoors,
  sun: sun => sun,
  active: () => null,
  nightSet: null,
  coolingPart: 1,
  heated: () => null,
  people: working => Number(working),
  duty: () => null,
  breaks: [],
}

/** Whether `time` lies in the first `open` ms of a `cycle` that begins at `from`; false before `from`. */
const inCycle = (time: number, from: number, cycle: number, open: number): boolean =>
  time >= from && (time - from) % cycle < open

/** the shift that makes the anchor a given date and hour in the shop */
const shiftTo = (plant: Plant, anchor: number, month: number, day: number, hour: number): number =>
  momentOf(plant.timeZone, 2024, month, day, hour) - anchor

/**
 * Outdoors at least 12 K away from the hall at any time of the year, so that a door always matters: an invented cold
 * spell (never above 4 °C) from autumn to spring, an invented heat (never below 35.5 °C) where the season is warmer
 * than 15 °C.
 */
const contrast = (parts: WeatherParts): number =>
  parts.season > 15
    ? Math.max(35.5, 37 + 0.3 * parts.day + 0.2 * parts.airMass)
    : Math.min(4, Math.min(0, parts.season) + 0.5 * parts.day + 0.5 * parts.airMass)

/** the demo's clockwork, ms from the anchor */
const demo = {
  doorFrom: -6 * MINUTE,
  doorCycle: 50 * MINUTE,
  doorOpen: 15 * MINUTE,
  doorQuiet: -3 * HOUR,
  runFrom: -76 * MINUTE - 2 * 180 * MINUTE,
  runCycle: 180 * MINUTE,
  run: 60 * MINUTE,
  unpluggedFrom: -3 * HOUR,
}

export const scenarios = {
  ordinary: {
    summary: 'working weeks as they come',
    pattern: ['The shop keeps the real calendar: shifts, deliveries, night and weekend setback, weather by season.'],
    changes: () => ordinary,
  },
  demo: {
    summary: 'something to see at whatever hour it is begun',
    pattern: [
      'The shop keeps the real calendar, but outdoors it is always at least 12 K colder (or hotter) than in the hall.',
      'Mill 2: the dock door opens 6 minutes before the anchor, shuts 9 minutes after it, then opens again every',
      '50 minutes for 15 minutes, around the clock.',
      'Mill 5: a hard run of an hour ends 16 minutes before the anchor; it rests for two hours, and so on every 3 hours.',
      'Fine room: kept at 20.0 ± 0.3 °C; mill 3 and both grinders rest or work lightly.',
      'Grinder 2: the sensor of its Z scale sends nothing from 3 hours before the anchor on ("plug" mends it).',
    ],
    changes: (plant, anchor): Changes => ({
      ...ordinary,
      outdoors: contrast,
      active: (source, time) => {
        if (source !== plant.roles.door || time < anchor + demo.doorQuiet) return null
        return inCycle(time, anchor + demo.doorFrom, demo.doorCycle, demo.doorOpen)
      },
      duty: (machine, time) => {
        if (machine !== plant.roles.warmUp || time < anchor + demo.runFrom) return null
        const runs = inCycle(time, anchor + demo.runFrom, demo.runCycle, demo.run)
        return runs ? { spindle: 1, motion: 1 } : { spindle: 0, motion: 0 }
      },
      breaks: plant.roles.breaking
        ? [{ sensor: plant.roles.breaking, kind: 'unplugged', at: anchor + demo.unpluggedFrom }]
        : [],
    }),
  },
  'monday-after-setback': {
    summary: 'a cold Monday morning after a weekend with the heating low',
    pattern: [
      'The anchor is a Monday in January, 4:30; the heating was at 14 °C since Friday evening and rises at 5:00.',
    ],
    changes: (plant, anchor): Changes => ({
      ...ordinary,
      calendarShift: shiftTo(plant, anchor, 1, 15, 4.5),
      outdoors: parts => ordinaryOutdoors(parts) - 3,
      nightSet: 14,
    }),
  },
  'dock-door-in-winter': {
    summary: 'deliveries through the dock door on a cold working day',
    pattern: [
      'The anchor is a Tuesday in January, 9:00, about −6 °C outdoors.',
      'The dock door opens 10 minutes after the anchor for 20 minutes, and again every 90 minutes.',
    ],
    changes: (plant, anchor): Changes => ({
      ...ordinary,
      calendarShift: shiftTo(plant, anchor, 1, 16, 9),
      outdoors: parts => -6 + 0.5 * parts.day + 0.3 * parts.airMass,
      active: (source, time) =>
        source === plant.roles.door && time >= anchor - 3 * HOUR
          ? inCycle(time, anchor + 10 * MINUTE, 90 * MINUTE, 20 * MINUTE)
          : null,
    }),
  },
  'compressor-cycling': {
    summary: 'a compressor that goes on and off beside a machine, all day',
    pattern: ['The anchor is a Wednesday in March, 10:00. The compressor runs 8 minutes, rests 10, around the clock.'],
    changes: (plant, anchor): Changes => ({
      ...ordinary,
      calendarShift: shiftTo(plant, anchor, 3, 13, 10),
      active: (source, time) =>
        source === plant.roles.compressor ? ((((time - anchor) / MINUTE) % 18) + 18) % 18 < 8 : null,
    }),
  },
  heatwave: {
    summary: 'hot days that the cooling cannot keep up with',
    pattern: ['The anchor is a Thursday in July, 13:00, 35 °C outdoors; the coolers have a fifth of their power.'],
    changes: (plant, anchor): Changes => ({
      ...ordinary,
      calendarShift: shiftTo(plant, anchor, 7, 18, 13),
      outdoors: parts => parts.season + 8 + parts.day + 0.3 * parts.airMass,
      coolingPart: 0.2,
    }),
  },
  'quiet-night': {
    summary: 'a night with the heating kept up: no machine runs, no door opens',
    pattern: ['The anchor is a Wednesday in October, 1:00; the hall is kept at 20 °C all night.'],
    changes: (plant, anchor): Changes => ({
      ...ordinary,
      calendarShift: shiftTo(plant, anchor, 10, 16, 1),
      outdoors: parts => parts.season + 0.5 * parts.day + 0.3 * parts.airMass,
      nightSet: 20,
    }),
  },
} as const satisfies Record<string, Scenario>

export type ScenarioName = keyof typeof scenarios
export const scenarioNames = Object.keys(scenarios) as ScenarioName[]
