import { z } from 'zod'
import type { JobPlan } from '../../core/morning/index.js'
import { jobColumns, readingJobs } from '../studies/morning/job-rows.js'
import { type TableRow, typedRow } from '../table/index.js'
import { inTurns } from '../turns.js'
import { Refused } from './refused.js'
import { refuseFaults } from './table-in.js'

const cell = z.string().max(200)
export const cellsOfJob = z
  .strictObject({
    ...Object.fromEntries(jobColumns.map(column => [column, cell.optional()])),
    features: z
      .array(z.strictObject({ feature: cell, size: cell, tolerance: cell, axis: cell, reads: cell }).partial())
      .max(20)
      .optional()
      .describe('further features'),
  })
  .describe('as people write it, under the headings of the table')
export type JobCells = Record<string, string | Record<string, string>[] | undefined>

const rowsOfOne = ({ features, ...cells }: JobCells): TableRow[] => {
  const more = (features as Record<string, string>[] | undefined) ?? []
  return [cells as Record<string, string>, ...more].map(each => typedRow(each))
}

const thousands = /\d,\d{3}(?!\d)/

/** @throws Refused: of a single job there is no other one to take */
export const jobOfOne = async (cells: JobCells, context: Parameters<typeof readingJobs>[1]): Promise<JobPlan> => {
  const rows = rowsOfOne(cells)
  for (const { cells: row } of rows)
    for (const [column, text] of Object.entries(row))
      if (column !== 'part' && text && thousands.test(text) && !/(^|\D)0,/.test(text))
        throw new Refused(
          400,
          `"${text}" may be meant with a decimal comma, or in thousands.`,
          `body "one", ${column}`,
          'Write a decimal point, and nothing between thousands.',
        )
  const { jobs, faults } = await inTurns(readingJobs(rows, context))
  refuseFaults(faults, faults[0]?.column ? `body "one", ${faults[0].column}` : 'body "one"')
  return jobs[0]!
}
