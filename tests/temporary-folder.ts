import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'

/** @returns an empty folder that is deleted when the test is over */
export const temporaryFolder = (): string => {
  const folder = mkdtempSync(join(tmpdir(), 'quiet-iron-'))
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }))
  return folder
}
