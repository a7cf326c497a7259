import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync } from 'node:fs'
import { onTestFinished } from 'vitest'
import { patience } from '../patience.js'

const root = new URL('../..', import.meta.url).pathname

interface Running {
  child: ChildProcess
  /** what it has written so far, both streams */
  said: () => string
  /** waits until it has said something; throws with what it said instead when it ends before, or takes too long */
  until: (pattern: RegExp) => Promise<RegExpExecArray>
  /** @returns its exit code, or the signal that ended it */
  ended: Promise<number | string>
}

/** Runs a built program of the project as a process of its own; killed when the test ends. */
export const running = (program: string, argv: string[], environment: Record<string, string> = {}): Running => {
  const file = `${root}dist/${program}`
  if (!existsSync(file)) throw new Error(`${file} is not built: npm run build`)
  const child = spawn(process.execPath, [file, ...argv], {
    cwd: root,
    env: { ...process.env, ...environment },
    stdio: ['pipe', 'pipe', 'pipe'],
  })
  onTestFinished(() => {
    child.kill('SIGKILL')
  })
  let text = ''
  for (const stream of [child.stdout, child.stderr])
    stream.setEncoding('utf8').on('data', (chunk: string) => {
      text += chunk
    })
  // "close" comes after the last of its output, "exit" may come before
  const ended = once(child, 'close').then(([code, signal]) => (code ?? signal) as number | string)
  let over = false
  ended.then(() => {
    over = true
  })
  return {
    child,
    said: () => text,
    ended,
    async until(pattern) {
      const from = Date.now()
      for (;;) {
        const found = pattern.exec(text)
        if (found) return found
        if (over || Date.now() - from > patience) throw new Error(`it never said ${pattern}, but:\n${text}`)
        await new Promise(resolve => setTimeout(resolve, 20))
      }
    },
  }
}
