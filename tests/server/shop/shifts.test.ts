import { describe, expect, it } from 'vitest'
import { parseShop } from '../../../server/shop/parse.js'
import { changed } from './small-shop.js'

const withShifts = (shifts: string) =>
  parseShop(changed('  invented: true\n', `  invented: true\n  shifts: ${shifts}\n`), 'shop.yaml')

describe('shifts in the shop file', () => {
  it('are days and times as people write them', () => {
    const parsed = withShifts(
      '[{ days: Mon-Thu, from: 6:00, to: 22:00 }, { days: "fri, sun-mon", from: 22:00, to: 06:30 }]',
    )
    expect(parsed).toMatchObject({
      shop: {
        shifts: [
          { days: [1, 2, 3, 4], from: 360, to: 1320 },
          { days: [1, 5, 7], from: 1320, to: 390 },
        ],
      },
    })
    expect(withShifts('[{ days: sat, from: 00:00, to: 24:00 }]')).toMatchObject({
      shop: { shifts: [{ days: [6], from: 0, to: 1440 }] },
    })
  })

  it.each([
    ['[{ days: mon-fry, from: 06:00, to: 22:00 }]', 'no days of the week', 'mon-fri'],
    ['[{ days: mon-tue-wed, from: 06:00, to: 22:00 }]', 'no days of the week', 'mon-fri'],
    ['[{ days: mon-fri, from: 6, to: 22:00 }]', 'not a time of day', '06:00'],
    ['[{ days: mon-fri, from: 06:00, to: 24:01 }]', 'not a time of day', '06:00'],
    ['[{ days: mon-fri, from: 06:00 }]', '"to" is missing', '06:00'],
    ['mon-fri', 'where a list is expected', 'days: mon-fri'],
  ])('say what is wrong with %s', (written, problem, remedy) => {
    const parsed = withShifts(written)
    const [found] = 'problems' in parsed ? parsed.problems : []
    expect(found?.what).toContain(problem)
    expect(found?.remedy).toContain(remedy)
  })
})
