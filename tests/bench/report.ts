/** What was measured, as lines of the table and as figures for a file. */
import type { BacklogRates, Taken } from './backlog.js'
import type { Held, Holds } from './holds.js'
import type { InvestigationFigures } from './investigation.js'
import type { Delays } from './live.js'
import type { MemoryCourse } from './memory.js'
import type { MorningFigures } from './morning.js'
import { type OrderFigures, savedShare, slowest } from './spindle.js'
import type { StorageFigures } from './storage.js'
import { median, medianAndSpan, type Row } from './table.js'

const thousands = (n: number): string => n.toLocaleString('en-US')
const rate = (perSecond: number): string => `${(perSecond / 1000).toFixed(1)}k/s`
const milliseconds = (ms: number): string => `${ms.toFixed(ms < 10 ? 1 : 0)} ms`
const MB = (bytes: number): string => `${(bytes / 1e6).toFixed(0)} MB`
const ratio = (a: number, b: number): string => (a / b).toFixed(2)

const rates = (all: readonly Taken[]) => all.map(taken => taken.rate)
const processor = (all: readonly Taken[]) => median(all.map(taken => taken.processor))

export const backlogRows = (all: readonly BacklogRates[]): Row[] => {
  const rows = all.flatMap(({ sensors, machines, bare, bareWindow, ours }): Row[] => {
    const where = `${thousands(sensors)} sensors, ${machines} machines`
    const beside = (name: string, other: readonly Taken[], aim: string): Row => ({
      what: `a full queue, ${where}`,
      ours: medianAndSpan(rates(ours), rate),
      beside: `${name}: ${medianAndSpan(rates(other), rate)}`,
      ratio: ratio(median(rates(ours)), median(rates(other))),
      aim,
    })
    return [
      beside('only counts, library’s defaults', bare, '≥ 1, then 2'),
      beside('only counts, our window', bareWindow, ''),
      {
        what: `processor time for each of them, ${where}`,
        ours: `${processor(ours).toFixed(1)} µs`,
        beside: `only counts, library’s defaults: ${processor(bare).toFixed(1)} µs`,
        ratio: ratio(processor(ours), processor(bare)),
        aim: '',
      },
    ]
  })
  const [least, most] = [all[0], all.at(-1)]
  if (!least || !most || least === most) return rows
  return [
    ...rows,
    {
      what: 'a full queue, many sensors against few',
      ours: `${thousands(most.sensors)} sensors: ${rate(median(rates(most.ours)))}`,
      beside: `${thousands(least.sensors)} sensors: ${rate(median(rates(least.ours)))}`,
      ratio: ratio(median(rates(most.ours)), median(rates(least.ours))),
      aim: '≥ 0.90',
    },
  ]
}

export const delayRows = (perSecond: number, { p50, p99, published, shown }: Delays): Row[] => [
  {
    what: `from publishing to a page, ${thousands(perSecond)} readings/s, 10,000 sensors`,
    ours: `p50 ${medianAndSpan(p50, milliseconds)}, p99 ${medianAndSpan(p99, milliseconds)}`,
    beside: `${thousands(shown)} events of ${thousands(published)} readings`,
    ratio: '',
    aim: 'p99 ≤ 300 ms',
  },
]

const answersOf = ({ answers }: Held): string =>
  Object.entries(answers)
    .map(([status, count]) => `${count} × ${status === '0' ? 'broken off' : status}`)
    .join(', ')

export const holdRows = ({ sensors, readings, questions, mixed }: Holds): Row[] =>
  [...questions, mixed].map(held => ({
    what: `longest hold of the loop, ${thousands(readings)} readings of ${sensors} sensors: ${held.what}`,
    ours: milliseconds(held.longest),
    beside: `of a program that does nothing ${milliseconds(held.idle)}; ${(held.took / 1000).toFixed(1)} s, ${(held.bytes / 1e6).toFixed(2)} MB as they travel; answers: ${answersOf(held)}`,
    ratio: ratio(held.longest, held.idle),
    aim: '≤ 50 ms',
  }))

export const memoryRows = (minutes: number, seen: MemoryCourse): Row[] => [
  {
    what: `memory after ${minutes} min, 5,000 readings/s, 10,000 sensors`,
    ours: `resident ${MB(seen.atEnd.resident)} (at most ${MB(seen.mostResident)}), heap ${MB(seen.atEnd.heap)}`,
    beside: `early: resident ${MB(seen.early.resident)}, heap ${MB(seen.early.heap)}`,
    ratio: ratio(seen.atEnd.resident, seen.early.resident),
    aim: '≤ 300 MB, not growing',
  },
  {
    what: 'growth of the heap’s floor in the second half of it',
    ours: `${(seen.heapGrowth / 1e6).toFixed(2)} MB/min`,
    beside: `${thousands(seen.stored)} stored of ${thousands(seen.published)} published`,
    ratio: ratio(seen.stored, seen.published),
    aim: 'about 0; all stored',
  },
]

export const storageRows = ({ append, bytes, plainBytes, year, day }: StorageFigures): Row[] => {
  const rows = append.map(({ sensors, ours, plain }): Row => {
    const sealed = ours.map(run => run.withSealing)
    return {
      what: `appended and sealed, ${thousands(sensors)} sensors`,
      ours: `${medianAndSpan(sealed, rate)}; longest slice ${milliseconds(median(ours.map(run => run.longestSlice)))}`,
      beside: `plain table: ${medianAndSpan(plain, rate)}`,
      ratio: ratio(median(sealed), median(plain)),
      aim: '',
    }
  })
  const commit = append.map(({ ours }) => median(ours.map(run => run.append)))
  const [few, many] = [append[0]!, append.at(-1)!]
  return [
    ...rows,
    {
      what: 'appended (what an acknowledgement waits for), many sensors against few',
      ours: `${thousands(many.sensors)} sensors: ${rate(commit.at(-1)!)}`,
      beside: `${thousands(few.sensors)} sensors: ${rate(commit[0]!)}`,
      ratio: ratio(commit.at(-1)!, commit[0]!),
      aim: '≥ 0.90',
    },
    {
      what: 'on disk for each reading, two days of 50 sensors',
      ours: `${bytes.toFixed(2)} bytes`,
      beside: `plain table: ${plainBytes.toFixed(1)} bytes`,
      ratio: ratio(bytes, plainBytes),
      aim: '≤ 4 bytes',
    },
    { what: 'a year of one sensor at 1,500 points', ours: milliseconds(year), beside: '', ratio: '', aim: '≤ 20 ms' },
    { what: 'a day of one sensor in full', ours: milliseconds(day), beside: '', ratio: '', aim: '≤ 20 ms' },
  ]
}

export const orderRows = (figures: OrderFigures, allowed: string): Row[] => [
  {
    what: `dwell in the best order of ten tools, three pairs in a fixed one, ${allowed}, ${thousands(figures.best.length)} random lists`,
    ours: medianAndSpan(figures.best, minutes => `${minutes.toFixed(1)} min`),
    beside: `as given: ${medianAndSpan(figures.given, minutes => `${minutes.toFixed(1)} min`)}`,
    ratio: (1 - savedShare(figures)).toFixed(2),
    aim: '',
  },
  {
    what: `finding that order, ${allowed}, processor time`,
    ours: `median ${milliseconds(median(figures.took))}, 99 of 100 within ${milliseconds(slowest(figures.took))}`,
    beside: `longest ${milliseconds(Math.max(...figures.took))}`,
    ratio: '',
    aim: '≤ 200 ms',
  },
  {
    what: `finding the best order of seven tools, ${allowed}, processor time`,
    ours: milliseconds(median(figures.search)),
    beside: `trying every order: ${milliseconds(median(figures.bruteForce))}`,
    ratio: ratio(median(figures.search), median(figures.bruteForce)),
    aim: '',
  },
]

export const morningRows = ({ jobs, first, later, machines, hold, idle, bytes, answers }: MorningFigures): Row[] => [
  {
    what: `the morning check of ${thousands(jobs)} jobs, a year of 60 sensors stored`,
    ours: `${medianAndSpan(later, milliseconds)}, ${(bytes / 1000).toFixed(0)} kB`,
    beside: `list of machines: ${medianAndSpan(machines, milliseconds)}`,
    ratio: ratio(median(later), median(machines)),
    aim: '≤ 300 ms',
  },
  {
    what: 'all of them answered for the first time',
    ours: milliseconds(first),
    beside: Object.entries(answers)
      .map(([answer, count]) => `${count} ${answer}`)
      .join(', '),
    ratio: '',
    aim: '',
  },
  {
    what: 'longest hold of the loop in all of it',
    ours: milliseconds(hold),
    beside: `a program that does nothing: ${milliseconds(idle)}`,
    ratio: '',
    aim: '≤ 50 ms',
  },
]

export const investigationRows = ({
  inspections,
  questions,
  machines,
  first,
  hold,
  idle,
}: InvestigationFigures): Row[] => [
  ...questions.map(({ what, parts, took, processor, bytes }) => ({
    what: `was it heat: ${what}, ${thousands(parts)} of ${thousands(inspections)} parts, a year of 60 sensors stored`,
    ours: `${medianAndSpan(took, milliseconds)}, ${median(processor).toFixed(1)} s of processor time, ${(bytes / 1000).toFixed(0)} kB`,
    beside: `list of machines: ${medianAndSpan(machines, milliseconds)}`,
    ratio: ratio(median(took), median(machines)),
    aim: '≤ 2000 ms',
  })),
  {
    what: 'ten seconds after the start, until the first answer of all of them stands',
    ours: milliseconds(first),
    beside: '',
    ratio: '',
    aim: '',
  },
  {
    what: 'longest hold of the loop in all of it',
    ours: milliseconds(hold),
    beside: `a program that does nothing: ${milliseconds(idle)}`,
    ratio: '',
    aim: '≤ 50 ms',
  },
]
