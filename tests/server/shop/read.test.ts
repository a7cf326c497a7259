import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { describeProblems, readShop } from '../../../server/shop/index.js'
import { smallShop } from './small-shop.js'

describe('reading from disk', () => {
  let folder = ''
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'shop-'))
  })
  afterAll(() => rmSync(folder, { recursive: true }))

  it('reads a file', () => {
    const path = join(folder, 'shop.yaml')
    writeFileSync(path, smallShop)
    expect(readShop(path)).toHaveProperty('shop.name', 'Small shop (invented)')
  })

  it('reads a file with a byte order mark and Windows line ends', () => {
    const path = join(folder, 'windows.yaml')
    writeFileSync(path, `\ufeff${smallShop.replaceAll('\n', '\r\n')}`)
    expect(readShop(path)).toHaveProperty('shop.machines.0.id', 'mill-a')
  })

  it('says that a file is not there', () => {
    const parsed = readShop(join(folder, 'nowhere.yaml'))
    expect(parsed).toMatchObject({ problems: [{ line: null, column: null, what: 'there is no such file' }] })
    if ('problems' in parsed)
      expect(describeProblems(parsed.problems)).toContain(
        `nowhere.yaml has one problem:\n\n      there is no such file\n      → check the path`,
      )
  })

  it('says that a folder is no file', () => {
    expect(readShop(folder)).toMatchObject({ problems: [{ what: 'it is a folder' }] })
  })
})
