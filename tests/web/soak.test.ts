import { describe, expect, it } from 'vitest'
import { soakPart } from '../../core/soak/index.js'
import { partOf, readAsked, shapes } from '../../web/soak/asked.js'
import { readyWords, toldTimes } from '../../web/soak/ready.js'

const minutes = (earliest: number, likely: number, latest: number) => ({
  earliest: earliest * 60,
  likely: likely * 60,
  latest: latest * 60,
})

describe('times as they are told', () => {
  it('are no finer than they are known, and never shorten the interval', () => {
    expect(toldTimes(minutes(78.2, 109.1, 156.2))).toEqual(minutes(75, 110, 160))
    expect(toldTimes(minutes(1.1, 2.6, 8.1))).toEqual(minutes(1, 3, 9))
    expect(toldTimes(minutes(0, 0, 0))).toEqual(minutes(0, 0, 0))
    // rounding alone must not put the likely time outside
    expect(toldTimes(minutes(29.9, 30.2, 30.3))).toEqual(minutes(29, 30, 35))
  })

  it('say how long is left, until the latest has passed', () => {
    const told = minutes(80, 110, 160)
    expect(readyWords(told, 0)).toEqual({ fact: 'Ready in 1 h 50 min', interval: '1 h 20 min to 2 h 40 min' })
    expect(readyWords(told, 90 * 60)).toEqual({ fact: 'Ready in 20 min', interval: 'now to 1 h 10 min' })
    expect(readyWords(told, 110 * 60)).toEqual({ fact: 'Likely ready', interval: 'at the latest in 50 min' })
    expect(readyWords(told, 160 * 60).fact).toBe('Ready')
    expect(readyWords(minutes(0, 0, 0), 0).fact).toBe('Ready now')
  })
})

describe('what an address asks', () => {
  const read = (query: string) => readAsked(new URLSearchParams(query))
  it('is a gauge block in the shop’s air where it says nothing, or what cannot be', () => {
    const usual = read('')
    expect(usual).toMatchObject({ place: 'still air', surface: 'bright', surroundings: null, since: null })
    expect(usual.shape).toEqual({ kind: 'block', length: 0.1, width: 0.035, height: 0.009 })
    expect(
      read('material=cheese&shape=cone&l=-1&w=nought&h=1e9&counts=&start=Infinity&around=NaN&place=moon&since=soon'),
    ).toEqual(usual)
  })
  it('is computed for every shape as it stands', () => {
    for (const kind of Object.keys(shapes)) {
      const asked = read(`shape=${kind}&start=30&around=20`)
      const { ready } = soakPart(
        partOf(asked),
        asked.start,
        { place: asked.place, course: [{ after: 0, temperature: 20 }] },
        asked.allowed,
      )
      expect(ready.earliest, kind).toBeGreaterThan(60)
      expect(ready.latest, kind).toBeGreaterThan(ready.likely)
      expect(ready.latest, kind).toBeLessThan(30 * 86_400)
    }
  })
})
