import { describe, expect, it } from 'vitest'
import { addressOf, routeOf } from '../../web/routes.js'

describe('the addresses of pages', () => {
  it('tell the page and what it is about, with or without a slash at the end', () => {
    expect(routeOf('/')).toEqual({ route: 'wall', part: '' })
    expect(routeOf('/machine/mill-2')).toEqual({ route: 'machine', part: 'mill-2' })
    expect(routeOf('/machine/mill-2/ahead/')).toEqual({ route: 'ahead', part: 'mill-2' })
    expect(routeOf('/handbook/sensors')).toEqual({ route: 'chapter', part: 'sensors' })
  })
  it('are none where no page lies', () => {
    for (const path of ['/machine', '/machine/', '/machine/a/b', '/machine/a/ahead/x', '/nothing', '//', '/api/shop'])
      expect(routeOf(path), path).toBeNull()
  })
  it('carry any name, and one that is not properly encoded as it stands', () => {
    const name = 'Fräse 2/b?'
    expect(routeOf(addressOf('history', name))).toEqual({ route: 'history', part: name })
    expect(routeOf('/machine/%E0%A4%A')).toEqual({ route: 'machine', part: '%E0%A4%A' })
  })
})
