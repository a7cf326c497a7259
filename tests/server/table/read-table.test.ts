import { expect, it } from 'vitest'
import { readingRows } from '../../../server/table/index.js'
import { whole } from '../../whole.js'

const read = (text: string) => whole(readingRows(text, ['time', 'value', 'note'], ['time', 'value']))

it('reads cells by column, with the units of the headings and the lines of the text', () => {
  const text = '\uFEFFValue (µm);time;note\r\n\r\n1.5;2026-01-14 08:00;"a; b"\r\n2;2026-01-14 08:10\r\n'
  const units = { value: 'µm', time: '', note: '' }
  expect(read(text)).toEqual({
    rows: [
      { line: 3, units, decimalComma: true, cells: { value: '1.5', time: '2026-01-14 08:00', note: 'a; b' } },
      { line: 4, units, decimalComma: true, cells: { value: '2', time: '2026-01-14 08:10', note: '' } },
    ],
  })
})

it.each([
  ['', 0, /empty/],
  ['\n\ntime,note\n', 3, /no heading "value"/],
  ['time,value\n', 0, /no row below/],
  ['time,value\n1,2\n1,2,3\n', 3, /3 cells, the headings are 2/],
  ['time,value\n1,"2\n3,4\n', 2, /quotation marks do not match/],
  [`time,value\n${'1,2\n'.repeat(20_001)}`, 0, /more than 20000 rows/],
])('says what is wrong, and where: %j', (text, line, problem) => {
  expect(read(text)).toMatchObject({ fault: { line, problem: expect.stringMatching(problem) } })
})

it('tells of each row that is none, and takes the others', () => {
  const bad: unknown[] = []
  const text = 'time;value\n1;2,5\n1;"2\n1;2;3;4\n3;4\n'
  const found = whole(readingRows(text, ['time', 'value'], ['time', 'value'], fault => bad.push(fault)))
  expect(found).toMatchObject({ rows: [{ line: 2, cells: { value: '2,5' } }, { line: 5 }] })
  expect(bad).toMatchObject([{ line: 3 }, { line: 4 }])
})
