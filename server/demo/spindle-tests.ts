import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { projectRoot } from '../project.js'
import type { Service } from '../service.js'
import { readingTestRows, testColumns } from '../studies/spindle/test-rows.js'
import { readingRows } from '../table/index.js'
import { inTurns } from '../turns.js'

const day = 86_400_000

/** as files of the simulators' folder, and how many days before the history they were run */
const tests = [
  { machine: 'mill-1', file: 'mill-1-autumn', before: 90 },
  { machine: 'mill-1', file: 'mill-1-lately', before: 2 },
  { machine: 'mill-5', file: 'mill-5-autumn', before: 91 },
  { machine: 'mill-5', file: 'mill-5-lately', before: 3 },
]

/** Enters the growth tests that the demo shop's people have run on two spindles. @param from ms; beginning of the history */
export const spindlesTested = async ({ actions }: Pick<Service, 'actions'>, from: number): Promise<void> => {
  for (const { machine, file, before } of tests) {
    const text = readFileSync(join(projectRoot, 'simulators', 'demo-spindles', `${file}.csv`), 'utf8')
    const table = await inTurns(readingRows(text, testColumns, testColumns))
    if ('fault' in table) throw new Error(`${file}.csv: ${table.fault.problem}`)
    const { steps, readings } = await inTurns(readingTestRows(table.rows, 'UTC', 1))
    await actions.addSpindleTest({
      machine,
      at: from - before * day,
      by: 'Invented setter',
      note: 'test bar, spindle cooler on (invented)',
      readWith: 'displacement probe',
      test: { steps, readings, toolLength: 0.1, indicatorHeight: 0.15, resolution: 0.1e-6 },
      run: null,
    })
  }
}
