import { spawn } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { checkSync } from 'recheck'
import { parseSync } from 'vite'
import { expect, it, onTestFinished } from 'vitest'
import { topicPattern } from '../../server/ingest/topic-pattern.js'

const project = join(import.meta.dirname, '../..')

interface Expression {
  pattern: string
  flags: string
}

/** every regular expression written out in a source file, found by parsing it */
const expressionsIn = (file: string): Expression[] => {
  const found: Expression[] = []
  const look = (node: unknown): void => {
    if (typeof node !== 'object' || node === null) return
    if ('regex' in node) found.push(node.regex as Expression)
    for (const part of Object.values(node)) look(part)
  }
  look(parseSync(file, readFileSync(join(project, file), 'utf8')).program)
  return found
}

/** @returns a text on which it takes the square of the length, or more; `undefined` when there is none */
const slowOn = ({ pattern, flags }: Expression): string | undefined => {
  const checked = checkSync(pattern, flags, { timeout: 60_000 })
  if (checked.status === 'safe') return undefined
  return checked.status === 'vulnerable' ? checked.attack.pattern : 'not known'
}

it('every regular expression of the project takes time in proportion to the text', () => {
  const files = ['core', 'server', 'web'].flatMap(folder =>
    readdirSync(join(project, folder), { recursive: true, encoding: 'utf8' }).flatMap(name =>
      /\.tsx?$/.test(name) ? [join(folder, name)] : [],
    ),
  )
  const all = files.flatMap(file => expressionsIn(file).map(expression => ({ file, ...expression })))
  expect(all.length).toBeGreaterThan(50)
  expect(all.flatMap(each => (slowOn(each) === undefined ? [] : [{ ...each, slowOn: slowOn(each) }]))).toEqual([])
})

it('so does the expression made of a topic with named parts', () => {
  for (const pattern of ['plant/{sensor}/t', '{a}/{b}/{c}/{d}', 'a{sensor}a/aa{other}aa', 'x.y*{a}(/{b}'])
    expect(slowOn({ pattern: topicPattern(pattern).expression.source, flags: 'u' })).toBeUndefined()
})

it('an expression that takes the square of the length is found', () => {
  expect(slowOn({ pattern: String.raw`^\d+\.?\d*$`, flags: '' })).toBeDefined()
  expect(slowOn({ pattern: String.raw`\s+$`, flags: '' })).toBeDefined()
})

// Half a million characters are 10 s of work in all; squared they would be minutes for each reader and kind.
it('every reader of outside text gets through long texts of every kind', async () => {
  const argv = ['--import', 'tsx', join(import.meta.dirname, 'long-texts.ts'), '500000']
  const child = spawn(process.execPath, argv, { stdio: ['ignore', 'pipe', 'inherit'] })
  let said = ''
  child.stdout.on('data', (bytes: Buffer) => {
    said += bytes.toString()
  })
  const limit = setTimeout(() => child.kill('SIGKILL'), 240_000)
  onTestFinished(() => {
    clearTimeout(limit)
    child.kill('SIGKILL')
  })
  await new Promise(resolve => child.once('close', resolve))
  // otherwise the last line says which reader was at which text
  expect(said.trim().split('\n').at(-1)).toBe('all')
})
