import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { describeProblems } from '../../../server/shop/index.js'
import { parseShop } from '../../../server/shop/parse.js'
import type { ShopProblem } from '../../../server/shop/problem.js'
import { type Mistake, mistakes } from './mistakes.js'
import { changed, lineOf, smallShop } from './small-shop.js'

const problemsOf = (text: string): ShopProblem[] => {
  const parsed = parseShop(text, 'small.yaml')
  return 'problems' in parsed ? parsed.problems : []
}
const columnOf = (text: string, shop: string): number => {
  const at = shop.indexOf(text)
  return at - shop.lastIndexOf('\n', at - 1)
}
const expected = (mistake: Mistake, shop: string) => ({
  file: 'small.yaml',
  line: lineOf(mistake.at, shop),
  column: columnOf(mistake.at, shop),
  path: mistake.path.split(' › '),
  what: expect.stringContaining(mistake.what),
  remedy: expect.stringContaining(mistake.remedy),
})

describe('one mistake is one problem, at its line and column, with its remedy', () => {
  it.each(mistakes)('$instead', mistake => {
    const shop = changed(mistake.written, mistake.instead)
    expect(problemsOf(shop)).toEqual([expected(mistake, shop)])
  })

  const more: [written: string, instead: string, problem: string][] = [
    ['screw steel, fixed', 'screw steal, fixed', 'no material "screw steal"'],
    ['mounting: one end fixed', 'mounting: one end fixed, stretch: 3 K', 'key "stretch"'],
    ['mounting: one end fixed', 'mounting: both ends', '"both ends" is not one of the choices'],
    ['mounting: one end fixed', 'mounting: one end fixed, bearing on: bde', '"bde" is not a node of mill-a'],
    ['mounting: one end fixed', 'mounting: one end fixed, bearing on: { bed: 0.5, front: 0.4 }', 'weights sum to 0.9'],
    [
      'mounting: one end fixed, nodes: screw',
      'mounting: one end fixed, bearing on: bed, nodes: air',
      'held by it up to',
    ],
    ['stretch: 3 K', 'stretch: 3 K\n          bearing on: bed', 'key "bearing on"'],
    ['fixed at: 150 mm', 'fixed at: 150 mm, bearing on: bed', 'key "bearing on"'],
    ['scale: { material', 'scael: { material', 'key "scael"'],
    ['work at: 300 mm, scale', 'work at: 300 mm, screw: {}, scale', 'key "screw"'],
    ['bar: column, axis: Z', 'bar: column, height: 3 mm, axis: Z', 'key "height"'],
    ['kind: air, placement', 'kind: air, follows: screw, placement', 'key "follows"'],
    ['stand-in: { node: rear', 'stand-in: { node: front', 'cannot stand in for itself'],
    ['nodes: { front: 0.25, rear: 75 % }', 'nodes: { frnt: 0.25, rear: 75 % }', '"frnt" is not a node'],
    ['nodes: { front: 0.25, rear: 75 % }', 'nodes: { front: -0.25, rear: 1.25 }', 'out of bounds'],
    ['{ value: state, time: time }', '{ vaule: state, time: time }', 'key "vaule"'],
    ['{ value: data.rear }', '{ value: data..rear }', 'is not a path'],
    ['{ value: data.rear }', 'json', '"json" is not a form of payload'],
    ['at: outdoors, unit: K', 'at: outdoors, unit: state', 'tells whether a source is open or running'],
    ['at: beside dock-door', 'at: beside dok-door', '"dok-door" is not a source'],
    ['feature: 4 in', 'feature: 4 µm', 'out of bounds'],
    ['oven: {', 'o v e n: {', '"o v e n" cannot be the name of a source'],
    ['expansion: 8.4e-6 /K', 'expansion: 8.4e-6 /K ± 3 %', 'given twice'],
    ['time zone: America/Chicago', 'time zone: +01:00', 'is not a time zone'],
    ['name: Mill A\n', 'name:\n', 'nothing is written where words are expected'],
    ['share: 25 %', 'share: [25 %]', 'a list is written where a percentage is expected'],
  ]
  it.each(more)('%s → %s', (written, instead, problem) => {
    const found = problemsOf(changed(written, instead))
    expect(found.map(each => each.what).join('\n')).toContain(problem)
    for (const each of found) expect(each.remedy).not.toBe('')
  })
})

describe('several mistakes', () => {
  it('are all reported at once, in the order of the file', () => {
    // one edit may not touch another's text, so only mistakes whose texts are all still there are put together
    const several = fc.uniqueArray(fc.constantFrom(...mistakes), {
      minLength: 3,
      maxLength: 6,
      selector: each => each.path.split(' › ').slice(0, 4).join(),
    })
    fc.assert(
      fc.property(several, chosen => {
        let shop = smallShop
        for (const { written, instead } of chosen) {
          fc.pre(shop.split(written).length === 2)
          shop = changed(written, instead, shop)
        }
        const found = problemsOf(shop)
        for (const mistake of chosen) {
          fc.pre(shop.split(mistake.at).length >= 2)
          expect(found).toContainEqual(
            expect.objectContaining({ path: mistake.path.split(' › '), what: expect.stringContaining(mistake.what) }),
          )
        }
        expect(found.map(each => each.line)).toEqual(found.map(each => each.line).sort((a, b) => a! - b!))
      }),
      { numRuns: 200 },
    )
  })

  it('are told one by one in the terminal', () => {
    const shop = changed(
      'share: 25 %',
      'share: 60 %',
      changed('stretch: 3 K', 'stretch: 3', changed('topic: yard', 'topci: yard')),
    )
    expect(describeProblems(problemsOf(shop))).toBe(`The shop file small.yaml has 3 problems:

  line 14, column 95: work classes › plates › share
      "60 %" is out of bounds
      → write a share above 0 and up to 50 %, for example 30 %

  line 38, column 20: machines › mill-a › axes › Y › screw › stretch
      "3" has no unit
      → write a temperature difference with its unit (K, °C or °F), for example 0.3 K or 0.5 °F

  line 54, column 11: sensors › yard › topci
      the key "topci" is not known here
      → did you mean "topic"?`)
    expect(describeProblems([])).toBe('')
  })
})

describe('a file that is no shop at all', () => {
  it.each([
    ['', 'it is empty'],
    ['# only a remark\n', 'it is empty'],
    ['- 1\n- 2\n', 'a list is written where a section with keys is expected'],
    ['just words', '"just words" is written where a section with keys is expected'],
    ['shop:\n\tname: x\n', 'Tabs are not allowed'],
    ['shop: { name: x\n', 'not readable as YAML'],
    ['a: *nowhere\n', 'there is no &nowhere above'],
    ['a: 1\n---\nb: 2\n', 'not readable as YAML'],
  ])('%j', (text, what) => {
    const found = problemsOf(text)
    expect(found.length).toBeGreaterThan(0)
    expect(found[0]!.what).toContain(what)
  })

  it('names every section that is missing', () => {
    expect(problemsOf('{}').map(each => each.what)).toEqual(
      ['shop', 'work classes', 'machines', 'sensors'].map(key => `"${key}" is missing`),
    )
  })

  it('does not follow aliases without end', () => {
    const levels = Array.from({ length: 12 }, (_, i) => `a${i + 1}: &a${i + 1} [${Array(9).fill(`*a${i}`).join(', ')}]`)
    expect(problemsOf(`a0: &a0 [x]\n${levels.join('\n')}\n`)[0]!.what).toContain('aliases cannot be followed')
  })
})

it('never throws and never lets a damaged file pass in silence', () => {
  const whole = parseShop(smallShop, 'small.yaml')
  fc.assert(
    fc.property(
      fc.nat(smallShop.length - 1),
      fc.nat(12),
      fc.string({ maxLength: 6, unit: fc.constantFrom(...' \n\t:{}[],-#&*!|>%@`"\'aZ09µ°~.') }),
      (at, length, inserted) => {
        const text = smallShop.slice(0, at) + inserted + smallShop.slice(at + length)
        const parsed = parseShop(text, 'small.yaml')
        if ('shop' in parsed) {
          // a name, a remark or a digit may have changed, but nothing may be missing or not a number
          expect(Object.keys(parsed.shop)).toEqual(Object.keys((whole as { shop: object }).shop))
          expect(JSON.stringify(parsed.shop)).not.toContain('null')
          return
        }
        expect(parsed.problems.length).toBeGreaterThan(0)
        const lines = text.split('\n').length
        for (const { line, column, what, remedy } of parsed.problems) {
          if (line !== null) {
            expect(line).toBeLessThanOrEqual(lines)
            expect(column).toBeGreaterThan(0)
          }
          expect(what.length).toBeGreaterThan(3)
          expect(remedy.length).toBeGreaterThan(3)
        }
      },
    ),
    { numRuns: 600 },
  )
})

it('a sensor that is no section is refused in words', () => {
  const text = smallShop.replace('  hall: { topic: hall, at: shop air }', '  hall: 0.3 K')
  expect(text).not.toBe(smallShop)
  expect(problemsOf(text).some(({ what }) => what.includes('"0.3 K"'))).toBe(true)
})
