import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'

/** @returns an empty folder that is deleted when the test, or what else `whenOver` waits for, is over */
export const temporaryFolder = (whenOver: (end: () => void) => void = onTestFinished): string => {
  const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-'))
  whenOver(() => rmSync(folder, { recursive: true, force: true }))
  return folder
}
