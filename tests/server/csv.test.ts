import { describe, expect, it } from 'vitest'
import { csv, isoTime } from '../../server/csv.js'

describe('csv', () => {
  it('quotes as RFC 4180 says (section 2, rules 5 to 7)', () => {
    expect(csv(['a', 'b,c'], [['x"y', 'line\nbreak']])).toBe('a,"b,c"\r\n"x""y","line\nbreak"\r\n')
  })
  it('keeps negative numbers numbers and defuses texts that a spreadsheet would run', () => {
    expect(csv(['n', 't'], [[-1.5e-6, '-1+1']])).toBe("n,t\r\n-0.0000015,'-1+1\r\n")
    expect(csv(['t'], [['=A1'], ['+1'], ['@x'], ['\tx']])).toBe("t\r\n'=A1\r\n'+1\r\n'@x\r\n'\tx\r\n")
  })
  it('defuses what begins a cell where semicolons, tabs or lines separate them', () => {
    const defused = [
      ['note;=1+1', "note;'=1+1"],
      ['note; +1', "note; '+1"],
      ['a;"=1', `"a;""'=1"`],
      ['a\t@x', "a\t'@x"],
      ['a\n=1', `"a\n'=1"`],
      ['a\r\n-1', `"a\r\n'-1"`],
      [';;=1', ";;'=1"],
      ['20-30 µm', '20-30 µm'],
      ['x = 1; y', 'x = 1; y'],
    ] as const
    for (const [text, cell] of defused) expect(csv(['t'], [[text]])).toBe(`t\r\n${cell}\r\n`)
  })
  it('comes to its end with hostile text', () => {
    for (const hostile of ['\n', ';', '"', ' ', '; ', ';"', '\t\r'].map(part => part.repeat(300_000)))
      expect(csv(['t'], [[`;${hostile}x`]]).length).toBeGreaterThan(300_000)
  })
  it('leaves cells empty where there is nothing', () => {
    expect(csv(['a', 'b', 'c'], [[null, Number.NaN, '']])).toBe('a,b,c\r\n,,\r\n')
    expect(isoTime(null)).toBeNull()
  })
  it('gives the head of a table without rows', () => {
    expect(csv(['a', 'b'], [])).toBe('a,b\r\n')
  })
})
