import { describe, expect, it } from 'vitest'
import { findMaterial, materials } from '../../core/materials.js'

const found = (name: string) => {
  const material = findMaterial(name)
  if ('problem' in material) throw new Error(material.problem)
  return material.value
}

describe('the table', () => {
  it('has a source and a believable uncertainty for every material', () => {
    for (const { name, alpha, alphaUncertainty, source } of materials) {
      expect(source.length, name).toBeGreaterThan(20)
      expect(alpha, name).toBeGreaterThan(0)
      expect(alpha, name).toBeLessThan(30e-6)
      // under 0.4 µm/m/K for materials that hardly grow, under a seventh of the value for all others
      expect(alpha * alphaUncertainty < 0.4e-6 || alphaUncertainty < 1 / 7, name).toBe(true)
      expect(alphaUncertainty, name).toBeGreaterThan(0.01)
    }
  })

  it('says where a value is only remembered', () => {
    for (const name of ['granite', 'tungsten carbide', 'Zerodur', 'Inconel 718'])
      expect(materials.find(each => each.name === name)?.source).toContain('from memory')
  })

  it('carries the whole of the limits of a material whose expansion is zero', () => {
    // 0 ± 0.1 µm/m/K as a rectangle: half width / √3, GUM 4.3.7
    const { alpha, alphaUncertainty } = found('Zerodur')
    expect(alpha * alphaUncertainty * 1e6).toBeCloseTo(0.1 / Math.sqrt(3), 6)
    expect(alpha).toBeLessThan(0.002e-6)
  })

  it('finds every material by each of its names, and no name twice', () => {
    const names = materials.flatMap(each => [each.name, ...each.also])
    expect(new Set(names.map(name => name.toLowerCase())).size).toBe(names.length)
    for (const each of materials) for (const name of [each.name, ...each.also]) expect(found(name).name).toBe(each.name)
  })
})

describe('finding a material', () => {
  it.each([
    ['Gray Iron', 'grey iron'],
    ['6061 aluminum', 'aluminium 6061'],
    ['Steel  4140', 'steel 4140'],
    ['float glass', 'float glass'],
  ])('takes %s for %s', (written, name) => {
    expect(found(written).name).toBe(name)
  })

  it('lets the shop know better', () => {
    const own = [{ name: 'Steel', alpha: 12e-6, alphaUncertainty: 0.01 }]
    expect(findMaterial('steel', own)).toEqual({ value: own[0] })
  })

  it('names what comes near', () => {
    expect(findMaterial('aluminum 6016')).toMatchObject({
      problem: 'there is no material "aluminum 6016"',
      remedy: expect.stringContaining('aluminium 6061'),
    })
    expect(findMaterial('steal')).toMatchObject({ remedy: expect.stringContaining('did you mean steel?') })
  })

  it('lists all when nothing comes near', () => {
    expect(findMaterial('unobtainium')).toMatchObject({ remedy: expect.stringContaining('grey iron, ductile iron') })
  })
})
