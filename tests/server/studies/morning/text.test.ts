import { describe, expect, it } from 'vitest'
import type { MorningCheck } from '../../../../core/morning/index.js'
import { shopReader } from '../../../../core/sentences/index.js'
import { morningText } from '../../../../server/studies/morning/text.js'
import { column, wrapped } from '../../../../server/studies/morning/wrapped.js'
import { demoShop } from '../../../demo-shop.js'
import { emptyMorning, exampleMorning } from '../../../web/morning-example.js'

const shop = demoShop()
const textOf = (check: MorningCheck, system: 'metric' | 'inch' = 'metric') =>
  morningText(check, shop, [], { ...shopReader(shop, check.at), system })
const linesOf = (text: string) => text.trimEnd().split('\n')

describe('the morning check as text', () => {
  it('is one sheet of at most 80 columns that says what the page says', () => {
    const text = textOf(exampleMorning)
    const lines = linesOf(text)
    expect(Math.max(...lines.map(line => line.length))).toBeLessThanOrEqual(80)
    expect(lines.length).toBeLessThanOrEqual(66)
    expect(lines[0]).toMatch(/^MORNING CHECK {2}Demo shop \(invented\) +\w{3} \d+ \w{3} \d{4} \d\d:\d\d$/)
    for (const title of ['WHAT TO DO FIRST', 'TODAY’S JOBS', 'MACHINES', 'THE NIGHT', 'NOT BELIEVED, OVERDUE, MISSING'])
      expect(
        lines.some(line => line.startsWith(title)),
        title,
      ).toBe(true)
    for (const { job } of exampleMorning.jobs) expect(text).toContain(job.part.slice(0, 20))
    for (const { machine } of exampleMorning.machines)
      expect(text).toContain(shop.machines.find(({ id }) => id === machine)!.name)
    // one line for each machine, with its kinds of work side by side
    expect(lines.find(line => line.startsWith(' Mill 1 '))).toMatch(
      /^ Mill 1 +from 09:45 +from 09:15 +from 08:45 +X 18 \(16\) +zero again$/,
    )
    expect(text).toContain('decided: go (KM)')
    expect(text).toMatch(/Wait until \d\d:\d\d/)
    expect(text).toMatch(/heating back \d\d:\d\d \(usually \d\d:\d\d\)/)
    expect(text).toContain('Advice only')
    expect(text).not.toMatch(/undefined|NaN|null|\[object/)
  })

  it('is in the reader’s units', () => {
    expect(textOf(exampleMorning)).toMatch(/ µm/)
    const inches = textOf(exampleMorning, 'inch')
    expect(inches).toMatch(/\d °F/)
    expect(inches).not.toMatch(/µm|°C| K\b/)
    expect(inches).toMatch(/^ Mill 1 .* X 0\.0007 \(0\.0006\) +zero again$/m)
  })

  it('stays one sheet with two hundred jobs, and names those first that cannot go', () => {
    const go = exampleMorning.jobs.find(({ answer }) => answer.answer === 'go')!
    const not = exampleMorning.jobs.find(({ answer }) => answer.answer !== 'go')!
    const many = {
      ...exampleMorning,
      jobs: Array.from({ length: 200 }, (_, id) => {
        const of = id % 40 === 39 ? not : go
        return { job: { ...of.job, id, part: `Part ${id}` }, answer: { ...of.answer, job: id } }
      }),
    }
    const lines = linesOf(textOf(many))
    expect(lines.length).toBeLessThanOrEqual(66)
    for (const id of [39, 79, 119, 159, 199]) expect(lines.some(line => line.includes(`Part ${id} `))).toBe(true)
    const named = lines.filter(line => /^ +\d\d:\d\d Part \d+ /.test(line)).length
    expect(lines.find(line => /and \d+ that go: see the page/.test(line))).toContain(`and ${200 - named} that go`)
  })

  it('says so where there is nothing: to do, planned, known or wrong', () => {
    const text = textOf({ ...emptyMorning })
    for (const said of ['Nothing to do', 'No jobs are planned', 'Nothing is known of it', 'All sensors are believed'])
      expect(text).toContain(said)
  })
})

describe('lines of text', () => {
  it('break between words, with the rest indented, and cut what is longer than a line', () => {
    const text = Array.from({ length: 40 }, (_, i) => `word${i}`).join(' ')
    const lines = wrapped(' 1 ', text)
    expect(lines.length).toBeGreaterThan(2)
    expect(lines.every((line, i) => line.startsWith(i === 0 ? ' 1 w' : '   w') && line.length <= 80)).toBe(true)
    expect(lines.map(line => line.slice(3)).join(' ')).toBe(text)
    expect(wrapped(' 1 ', 'x'.repeat(200))).toEqual([` 1 ${'x'.repeat(77)}`])
    expect(wrapped(' 1 ', '')).toEqual([' 1'])
    expect([column('abc', 5), column('abcdef', 5)]).toEqual(['abc  ', 'abcd…'])
  })
})
