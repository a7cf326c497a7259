import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Machine } from '../../core/shop.js'
import type { ToolList } from '../../core/spindle/index.js'
import { projectRoot } from '../project.js'
import type { Service } from '../service.js'
import { readingTestRows, testColumns } from '../studies/spindle/test-rows.js'
import { mandatoryToolColumns, readingTools, toolColumns } from '../studies/spindle/tool-rows.js'
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

const rowsOf = async (file: string, columns: readonly string[], mandatory: readonly string[]) => {
  const text = readFileSync(join(projectRoot, 'simulators', 'demo-spindles', `${file}.csv`), 'utf8')
  const table = await inTurns(readingRows(text, columns, mandatory))
  if ('fault' in table) throw new Error(`${file}.csv: ${table.fault.problem}`)
  return table.rows
}

/**
 * Enters the tools of a job whose fast, close tool has to come first after a night, so that the spindle is warmed up for it
 * as the machine's builder (invented) allows.
 */
export const toolsListed = async (
  { actions }: Pick<Service, 'actions'>,
  { id, spindle }: Pick<Machine, 'id' | 'spindle'>,
): Promise<ToolList> => {
  const { tools, before } = await inTurns(
    readingTools(await rowsOf('valve-body-tools', toolColumns, mandatoryToolColumns)),
  )
  return actions.addToolList(
    id,
    {
      name: 'Valve body, six tools',
      job: { tools, before, change: 20 },
      start: { kind: 'cold' },
      warmUp: { highest: spindle!.highest!, ...spindle!.warmUp! },
      tilt: null,
      workHeight: 0.2,
    },
    { by: 'Invented setter', note: 'invented' },
  )
}

/** Enters the growth tests that the demo shop's people have run on two spindles. @param from ms; beginning of the history */
export const spindlesTested = async ({ actions }: Pick<Service, 'actions'>, from: number): Promise<void> => {
  for (const { machine, file, before } of tests) {
    const { steps, readings } = await inTurns(readingTestRows(await rowsOf(file, testColumns, testColumns), 'UTC', 1))
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
