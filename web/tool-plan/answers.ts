import type { Signature } from '../../core/quantities.js'
import type { ToolList } from '../../core/spindle/index.js'
import type { ToolsRead } from '../../server/http/schemas/tool-lists.js'
import { machinePath, path, post } from '../api.js'

/** Questions and writes of the tool plan. */

export const listsPath = (machine: string, rest = ''): string => machinePath(machine, `tool-lists${rest}`)

export const planTable = (machine: string, list: number, order: 'given' | 'best'): string =>
  path(listsPath(machine, `/${list}`), { format: 'csv', order })
export const previewTools = (machine: string, csv: string): Promise<ToolsRead> =>
  post(listsPath(machine, '/preview'), { csv })
/** @param list the one that is changed; null: a new one */
export const sendList = (
  machine: string,
  list: number | null,
  body: Signature & Record<string, unknown>,
): Promise<ToolList> =>
  list === null ? post(listsPath(machine), body) : post(listsPath(machine, `/${list}`), body, 'PUT')
