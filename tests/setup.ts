import { afterAll } from 'vitest'
import { endFile } from './file-end.js'

// run before each file
afterAll(endFile)
