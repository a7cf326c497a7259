import { z } from 'zod'
import { plannedTool, toolJob, toolList } from '../../../core/spindle/index.js'

export const toolListsAnswer = z.object({ lists: z.array(toolList).describe('the last one entered first') })
export type ToolListsAnswer = z.infer<typeof toolListsAnswer>

export const toolsRead = z.object({
  tools: z.array(plannedTool).describe('of the rows that can be read'),
  before: toolJob.shape.before,
  refused: z
    .array(
      z.object({
        line: z.number().describe('of the text, counted from 1, or of the tools that were sent'),
        column: z.string(),
        problem: z.string(),
        remedy: z.string(),
      }),
    )
    .describe('any of these refuses the list'),
})
export type ToolsRead = z.infer<typeof toolsRead>
