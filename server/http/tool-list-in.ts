import { z } from 'zod'
import { parseSlope } from '../../core/alignment/index.js'
import type { Machine } from '../../core/shop.js'
import { type PlannedTool, type SpindleStart, type ToolListEntry, toolListEntry } from '../../core/spindle/index.js'
import { parseDuration, parseLength, parseSpeed } from '../../core/units.js'
import { mandatoryToolColumns, readingTools, toolColumns } from '../studies/spindle/tool-rows.js'
import { readingRows, type TableRow, typedRow } from '../table/index.js'
import { inTurns } from '../turns.js'
import { Refused, understood } from './refused.js'
import { signed } from './schemas/measured.js'
import type { ToolsRead } from './schemas/tool-lists.js'
import { withinBuilderLimit } from './speed-limit.js'

/** bytes */
export const largestTable = 64 * 1024

const text = z.string().trim().max(120)
export const toolsSent = {
  tools: z
    .array(z.strictObject(Object.fromEntries(toolColumns.map(column => [column, text.optional()]))))
    .max(30, 'a list holds 30 tools at most')
    .optional()
    .describe('as people write them, in the order in which they are to be used, under the headings of the table'),
  csv: z
    .string()
    .max(largestTable)
    .optional()
    .describe(
      `the same as a table with the headings ${toolColumns.join(', ')}, of which ${mandatoryToolColumns.join(', ')} must be there`,
    ),
}

export const sentList = z.strictObject({
  ...signed,
  ...toolsSent,
  name: z.string('what the job is called').trim().min(1, 'what the job is called').max(120),
  change: text.default('0 s').describe('how long the spindle stands still before each tool: 20 s'),
  start: z
    .discriminatedUnion('kind', [
      z.strictObject({ kind: z.literal('cold') }),
      z.strictObject({
        kind: z.literal('ran'),
        speed: text.describe('8000 1/min'),
        duration: text.describe('so long at that speed, from cold: 30 min'),
        rest: text.default('0 s').describe('and so long at rest since: 10 min'),
      }),
      z.strictObject({ kind: z.literal('grown'), growth: text.describe('how far it has grown: 12 µm') }),
    ])
    .default({ kind: 'cold' })
    .describe('what the spindle did before the job'),
  warmUp: z
    .strictObject({
      highest: text.describe('no faster than this: 12000 1/min'),
      step: text.describe('the most by which speed may rise at once: 4000 1/min'),
      hold: text.describe('at least so long at a speed before it rises again: 5 min'),
    })
    .nullable()
    .default(null)
    .describe('what the machine builder allows of a cold spindle, where it is to be warmed up for the first tool'),
  tilt: text
    .optional()
    .describe('tilt of the head, as a length for a length: 20 µm/m; computed where it can be if not given'),
  workHeight: text.optional().describe('where the tools cut, above the table: 150 mm'),
})
type SentList = z.infer<typeof sentList>

/** What was sent of tools, or what is wrong with it, row by row. @throws Refused when the table is none */
export const readTools = async ({ tools, csv }: { tools?: unknown; csv?: string | undefined }): Promise<ToolsRead> => {
  if ((tools === undefined) === (csv === undefined))
    throw new Refused(400, 'There are no tools, or two lists of them.', 'body', 'Send "tools" or a table as "csv".')
  const { faults, ...read } = await inTurns(readingTools(csv === undefined ? typed(tools) : await tableOf(csv)))
  if (read.tools.length > 30)
    throw new Refused(
      400,
      `There are ${read.tools.length} tools.`,
      'body "csv"',
      'Send 30 at most: a job in two parts.',
    )
  return { ...read, refused: faults }
}

const typed = (tools: unknown): TableRow[] =>
  (tools as Record<string, string>[]).map((cells, i) => typedRow(cells, i + 1))

const tableOf = async (csv: string): Promise<TableRow[]> => {
  const read = await inTurns(readingRows(csv, toolColumns, mandatoryToolColumns))
  if ('rows' in read) return read.rows
  const { line, problem, remedy } = read.fault
  throw new Refused(400, `${problem}.`, line > 0 ? `body "csv", line ${line}` : 'body "csv"', remedy)
}

/** @throws Refused that names the row and column, or the field, and what would be right */
export const listOf = async (sent: SentList, machine: Pick<Machine, 'name' | 'spindle'>): Promise<ToolListEntry> => {
  const { tools, before, refused } = await readTools(sent)
  const [fault] = refused
  if (fault)
    throw new Refused(
      400,
      `${sent.csv === undefined ? 'Tool' : 'Line'} ${fault.line}, ${fault.column}: ${fault.problem}${refused.length > 1 ? ` (and ${refused.length - 1} more)` : ''}.`,
      `${sent.csv === undefined ? 'tool' : 'line'} ${fault.line}, ${fault.column}`,
      `${fault.remedy}. Nothing was stored.`,
    )
  const { start, warmUp } = sent
  const list = toolListEntry.safeParse({
    name: sent.name,
    job: { tools, before, change: understood(parseDuration(sent.change), 'body "change"') },
    start: startOf(start),
    warmUp: warmUp && {
      highest: understood(parseSpeed(warmUp.highest), 'body "warmUp", highest'),
      step: understood(parseSpeed(warmUp.step), 'body "warmUp", step'),
      hold: understood(parseDuration(warmUp.hold), 'body "warmUp", hold'),
    },
    tilt: sent.tilt ? Math.abs(understood(parseSlope(sent.tilt), 'body "tilt"')) : null,
    workHeight: sent.workHeight ? understood(parseLength(sent.workHeight), 'body "workHeight"') : null,
  })
  if (!list.success) {
    const { path, message } = list.error.issues[0]!
    throw new Refused(
      400,
      `${path.join(', ')}: ${message}.`,
      `body "${path[0]?.toString()}"`,
      'Correct it. Nothing was stored.',
    )
  }
  list.data.job.tools.forEach(({ name, speed }, i) => {
    withinBuilderLimit(machine, [speed], name, sent.csv === undefined ? `tool ${i + 1}, speed` : 'body "csv"')
  })
  if (list.data.warmUp) withinBuilderLimit(machine, [list.data.warmUp.highest], 'The warm-up', 'body "warmUp", highest')
  warmsUp(list.data.warmUp?.highest, list.data.job.tools[0])
  return list.data
}

const startOf = (start: SentList['start']): SpindleStart => {
  if (start.kind === 'cold') return start
  if (start.kind === 'grown') return { ...start, growth: understood(parseLength(start.growth), 'body "start", growth') }
  return {
    kind: 'ran',
    speed: understood(parseSpeed(start.speed), 'body "start", speed'),
    duration: understood(parseDuration(start.duration), 'body "start", duration'),
    rest: understood(parseDuration(start.rest), 'body "start", rest'),
  }
}

const warmsUp = (highest: number | undefined, first: PlannedTool | undefined): void => {
  if (highest === undefined || !first || first.speed <= highest * (1 + 1e-9)) return
  throw new Refused(
    400,
    `The first tool, ${first.name}, turns faster than the warm-up may.`,
    'body "warmUp", highest',
    'Check the speed of the first tool, and what the machine builder allows.',
  )
}
