import { describe, expect, it } from 'vitest'
import { drawCourse } from '../../web/sensors/draw-course.js'

const size = { width: 40, height: 20 }

describe('the small line of a day', () => {
  it('goes from the lowest at the bottom to the highest at the top', () => {
    const drawing = drawCourse([18, 20, 22, 20], size, 1)!
    expect(drawing.path).toBe('M5 20L15 10L25 0L35 10')
    expect(drawing).toMatchObject({ lowest: 18, highest: 22, end: { x: 35, y: 10 } })
  })

  it('stays flat in the middle when the values hardly move', () => {
    expect(drawCourse([20, 20, 20, 20], size, 1)!.path).toBe('M5 10L15 10L25 10L35 10')
    const ys = drawCourse([20, 20.1, 20, 20.1], size, 1)!
      .path.split(/[ML]/)
      .slice(1)
      .map(p => Number(p.split(' ')[1]))
    expect(Math.max(...ys) - Math.min(...ys)).toBeCloseTo(2, 6)
  })

  it('does not bridge what is not known, and shows a value that stands alone', () => {
    expect(drawCourse([18, 22, null, 20], size, 1)!.path).toBe('M5 20L15 0M35 10h0.1')
  })

  it('is none when nothing is known', () => {
    expect(drawCourse([null, null], size, 1)).toBeNull()
    expect(drawCourse([], size, 1)).toBeNull()
  })
})
