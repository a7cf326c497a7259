import { writeSync } from 'node:fs'
import { afterAll } from 'vitest'
import { endFile } from './file-end.js'

// run before each file
afterAll(endFile)

/** a process that ends by itself says so, with its code: the run only knows that it is gone */
const sayEnd = (code: number) => writeSync(2, `A process of the tests ends by itself, with code ${code}.\n`)
if (!process.listeners('exit').some(({ name }) => name === sayEnd.name)) process.on('exit', sayEnd)
