import { readLength, type TableFault, type TableRow, timeReader } from '../../table/index.js'

const earliest = Date.UTC(2000, 0, 1)
/** ms; how far a logger's clock may be ahead */
const ahead = 600_000
/** m; no machine at rest drifts as far */
const farthest = 0.005

/**
 * The values of an indicator's or probe's log from the rows of a table, a row a step.
 *
 * @param zone of the shop, for times without one
 * @param now  ms
 * @returns points rising in time, ms and m, or what is wrong
 */
export function* readingDriftLog(
  rows: readonly TableRow[],
  zone: string,
  now: number,
): Generator<void, { points: { at: number; value: number }[]; faults: TableFault[] }> {
  const points: { at: number; value: number }[] = []
  const faults: TableFault[] = []
  const timeOf = timeReader({ zone, scale: null })
  for (const { line, cells, units } of rows) {
    yield
    const fault = (problem: string, remedy: string) => faults.push({ line, problem, remedy })
    const time = timeOf(cells.time ?? '', points.at(-1)?.at ?? null)
    const value = readLength(cells.value ?? '', units.value ?? '')
    if ('problem' in time) fault(time.problem, time.remedy)
    else if ('problem' in value) fault(value.problem, value.remedy)
    else if (time.at < earliest || time.at > now + ahead)
      fault(`"${cells.time}" lies ${time.at > now ? 'ahead of now' : 'before 2000'}`, 'correct the logger’s clock')
    else if (points.length > 0 && time.at <= points.at(-1)!.at)
      fault(
        `"${cells.time}" is not after the time before it`,
        'put rows in order of time, each time once; where clocks are put back, give times with their zone',
      )
    else if (Math.abs(value.value) > farthest)
      fault(`"${cells.value}" is more than 5 mm`, 'check the unit; an indicator’s change is meant, not a position')
    else points.push({ at: time.at, value: value.value })
  }
  if (faults.length === 0 && points.length < 2)
    faults.push({ line: 0, problem: 'a log needs two values at least', remedy: 'send the whole log' })
  return { points, faults }
}
