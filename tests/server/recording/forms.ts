import type { RecordingChoices } from '../../../core/facts.js'

/** A recording in one of the forms in which loggers and spreadsheets give them; all values are invented. */
export interface Form {
  name: string
  bytes: Uint8Array
  /** what somebody says in the preview; without it, it goes in as it is */
  choice?: Partial<RecordingChoices>
  /** so many readings of s-air, a quarter of an hour apart from 08:30 UTC on, otherwise two */
  readings?: number
  /** ms; their first, where it is another */
  from?: number
}

/** 14 January 2026, 09:30 in the shop */
export const first = Date.UTC(2026, 0, 14, 8, 30)
export const quarter = 900_000
/** °C, of the readings one after the other */
export const degreesOf = (index: number): number => 20.5 + (index % 8) / 4

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text)
const two = (n: number): string => String(n).padStart(2, '0')

/** the shop's clock in winter */
const wall = (index: number, from = first) => {
  const at = new Date(from + 3_600_000 + index * quarter)
  const [year, month, day] = [at.getUTCFullYear(), at.getUTCMonth() + 1, at.getUTCDate()]
  const [hour, minute] = [two(at.getUTCHours()), two(at.getUTCMinutes())]
  const half = `${at.getUTCHours() % 12 || 12}:${minute} ${at.getUTCHours() < 12 ? 'AM' : 'PM'}`
  return { year, month, day, clock: `${hour}:${minute}`, half, iso: `${year}-${two(month)}-${two(day)}` }
}
type Wall = ReturnType<typeof wall>

const rows = (count: number, row: (at: Wall, value: string, index: number) => string, from = first): string =>
  Array.from({ length: count }, (_, i) => `${row(wall(i, from), String(degreesOf(i)), i)}\r\n`).join('')
const comma = (value: string) => value.replace('.', ',')
const utf16 = (text: string, mark: boolean, big = false): Uint8Array => {
  const bytes = Buffer.from((mark ? '\uFEFF' : '') + text, 'utf16le')
  return new Uint8Array(big ? bytes.swap16() : bytes)
}
const unclear = Date.UTC(2026, 0, 2, 8, 30)
/** readings of an error code among good ones */
const withCode = (code: string, heading: string): string =>
  `time,${heading}\r\n${rows(2, ({ iso, clock }, value, i) => `${iso} ${clock},${value}\r\n${iso} ${two(12 + i)}:01,${code}`)}`

export const forms: readonly Form[] = [
  {
    name: 'd/m/y, told by a day above 12',
    bytes: utf8(`time,s-air\r\n${rows(2, (w, v) => `${w.day}/${w.month}/${w.year} ${w.clock},${v}`)}`),
  },
  {
    name: 'm/d/y with AM and PM',
    bytes: utf8(`Date/Time,s-air\r\n${rows(2, (w, v) => `${w.month}/${w.day}/${w.year} ${w.half},${v}`)}`),
  },
  {
    name: 'd.m.y with two digits of the year and decimal commas',
    bytes: utf8(`time;s-air\r\n${rows(2, (w, v) => `${w.day}.${w.month}.${w.year % 100} ${w.clock};${comma(v)}`)}`),
  },
  {
    name: 'm/d/y of a week of which no day is above 12, told by going on from day to day',
    from: Date.UTC(2026, 0, 8, 8, 30),
    readings: 200,
    bytes: utf8(
      `time,s-air\r\n${rows(200, (w, v) => `${w.month}/${w.day}/${w.year} ${w.clock},${v}`, Date.UTC(2026, 0, 8, 8, 30))}`,
    ),
  },
  {
    name: 'a day of which nobody can tell, said to have the day first',
    from: unclear,
    choice: { order: 'day first' },
    bytes: utf8(`time,s-air\r\n${rows(2, (w, v) => `${w.day}/${w.month}/${w.year} ${w.clock},${v}`, unclear)}`),
  },
  {
    name: 'the same the other way round, said to have the month first',
    from: unclear,
    choice: { order: 'month first' },
    bytes: utf8(`time,s-air\r\n${rows(2, (w, v) => `${w.month}/${w.day}/${w.year} ${w.clock},${v}`, unclear)}`),
  },
  {
    name: 'a month with its name',
    bytes: utf8(`time,s-air\r\n${rows(2, (w, v) => `${w.day}-Jan-${w.year} ${w.clock},${v}`)}`),
  },
  {
    name: 'the year first, with slashes and one-digit months',
    bytes: utf8(`time,s-air\r\n${rows(2, (w, v) => `${w.year}/${w.month}/${w.day} ${w.clock},${v}`)}`),
  },
  {
    name: 'date and time of day in columns of their own',
    bytes: utf8(
      `Date;Time;s-air\r\n${rows(2, (w, v) => `${two(w.day)}.${two(w.month)}.${w.year};${w.clock};${comma(v)}`)}`,
    ),
  },
  {
    name: 'the same with headings of another language',
    bytes: utf8(
      `Datum;Uhrzeit;s-air\r\n${rows(2, (w, v) => `${two(w.day)}.${two(w.month)}.${w.year};${w.clock};${comma(v)}`)}`,
    ),
  },
  {
    name: 'a date that a spreadsheet gave a midnight',
    bytes: utf8(
      `Date;Time;s-air\r\n${rows(2, (w, v) => `${w.day}.${w.month}.${w.year} 00:00:00;${w.clock}:00;${comma(v)}`)}`,
    ),
  },
  {
    name: 'row numbers in front',
    bytes: utf8(`#,time,s-air\r\n${rows(2, (w, v, i) => `${i + 1},${w.iso} ${w.clock},${v}`)}`),
  },
  {
    name: 'row numbers headed like a sensor’s id, a row for each reading',
    bytes: utf8(`ID,Time,Sensor,Value\r\n${rows(2, (w, v, i) => `${i + 7},${w.iso} ${w.clock},s-air,${v}`)}`),
  },
  {
    name: 'row numbers without a heading',
    bytes: utf8(`time,s-air\r\n${rows(2, (w, v, i) => `${i + 1},${w.iso} ${w.clock},${v}`)}`),
  },
  {
    name: 'title lines above the headings',
    bytes: utf8(
      `Logger 4711, hall north\r\nDate,14.01.2026\r\nInterval,15 min\r\n\r\ntime,s-air\r\n${rows(2, (w, v) => `${w.iso} ${w.clock},${v}`)}`,
    ),
  },
  {
    name: 'a spreadsheet saved as Unicode text: UTF-16, tabs, quotation marks',
    bytes: utf16(`"time"\t"s-air (°C)"\r\n${rows(2, (w, v) => `"${w.iso} ${w.clock}"\t"${comma(v)}"`)}`, true),
  },
  {
    name: 'the same, big end first',
    bytes: utf16(`time\ts-air\r\n${rows(2, (w, v) => `${w.iso} ${w.clock}\t${v}`)}`, true, true),
  },
  {
    name: 'UTF-16 without a mark',
    bytes: utf16(`time\ts-air\r\n${rows(2, (w, v) => `${w.iso} ${w.clock}\t${v}`)}`, false),
  },
  {
    name: 'a western spreadsheet’s own encoding',
    bytes: new Uint8Array(
      Buffer.from(`time;s-air (°C)\r\n${rows(2, (w, v) => `${w.iso} ${w.clock};${comma(v)}`)}`, 'latin1'),
    ),
  },
  {
    name: 'a heading that no sensor has, said which it is',
    choice: { columns: { 'Kanal 1': 'sensor s-air' } },
    bytes: utf8(`time;Kanal 1;Kanal 2\r\n${rows(2, (w, v) => `${w.iso} ${w.clock};${comma(v)};45`)}`),
  },
  {
    name: 'a column in °F that does not say so, said once',
    choice: { units: { 's-air': '°F' } },
    bytes: utf8(`time,s-air\r\n${rows(2, (w, v) => `${w.iso} ${w.clock},${Number(v) * 1.8 + 32}`)}`),
  },
  { name: 'an error code (−127) between readings', bytes: utf8(withCode('-127', 's-air')) },
  { name: 'an error code (−200) between readings', bytes: utf8(withCode('-200', 's-air')) },
  { name: 'an error code (9999) between readings', bytes: utf8(withCode('9999', 's-air')) },
  { name: 'an error code (85) between readings', bytes: utf8(withCode('85', 's-air (°C)')) },
  {
    name: 'a clock that was left on winter time in summer, said so',
    from: Date.UTC(2026, 5, 14, 8, 30),
    choice: { offset: '+01:00' },
    bytes: utf8(`time,s-air\r\n${rows(2, (w, v) => `${w.iso} ${w.clock},${v}`, Date.UTC(2026, 5, 14, 8, 30))}`),
  },
  {
    name: 'the same, said in its heading',
    from: Date.UTC(2026, 5, 14, 8, 30),
    bytes: utf8(`time (UTC+1),s-air\r\n${rows(2, (w, v) => `${w.iso} ${w.clock},${v}`, Date.UTC(2026, 5, 14, 8, 30))}`),
  },
]
