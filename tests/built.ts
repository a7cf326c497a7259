import { mkdirSync, mkdtempSync, rmSync } from 'node:fs'
import { basename, join } from 'node:path'
import { build } from 'vite'
import { onTestFinished } from 'vitest'

const root = join(import.meta.dirname, '..')

/**
 * A program of the tests as one JavaScript file: a process that is started many times then starts in a third of the time
 * that it takes from TypeScript.
 *
 * @param program its TypeScript file
 * @returns the file, which is gone when the test is over
 */
export const built = async (program: string): Promise<string> => {
  // inside the project, so that packages are found from there
  mkdirSync(join(root, '.cache'), { recursive: true })
  const outDir = mkdtempSync(join(root, '.cache', 'built-'))
  onTestFinished(() => rmSync(outDir, { recursive: true, force: true }))
  await build({ configFile: false, logLevel: 'warn', root, build: { ssr: program, outDir, minify: false } })
  return join(outDir, basename(program).replace(/ts$/, 'js'))
}
