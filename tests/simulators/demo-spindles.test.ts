import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { demoSpindleTable, demoSpindleTests } from '../../simulators/demo/spindle-tests.js'

it.each(demoSpindleTests)('the growth test $name is what the simulated spindle did', test => {
  const file = new URL(`../../simulators/demo-spindles/${test.name}.csv`, import.meta.url)
  expect(readFileSync(file, 'utf8')).toBe(demoSpindleTable(test))
})
