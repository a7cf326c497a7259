import { z } from 'zod'
import { jobPlan, keptAnswer, plannedJob } from '../../../core/morning/index.js'

const day = z.string().describe('ISO 8601 day, in the shop’s time zone')

export const jobsAnswer = z.object({ day, jobs: z.array(plannedJob).describe('in the order of their start') })

const refusedRow = z.object({
  line: z.number().describe('of the text, counted from 1; 0 for a single job'),
  column: z.string().describe('heading of the cell; empty where the row as a whole is refused'),
  problem: z.string(),
  remedy: z.string(),
})

export const enteredAnswer = z.object({
  added: z.array(plannedJob),
  refused: z.array(refusedRow).describe('the others are added'),
})
export type EnteredAnswer = z.infer<typeof enteredAnswer>

export const previewAnswer = z.object({
  jobs: z.array(jobPlan).describe('what would be added'),
  refused: z.array(refusedRow),
})
export type PreviewAnswer = z.infer<typeof previewAnswer>

export const answeredAnswer = z.object({
  day,
  answers: z.array(keptAnswer).describe('each as it was first given: when it changed, or its time by more than 15 min'),
})
