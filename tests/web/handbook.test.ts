import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { describeProblems } from '../../server/shop/index.js'
import { parseShop } from '../../server/shop/parse.js'
import { chapters } from '../../web/handbook/chapters.js'
import { renderChapter } from '../../web/handbook/markdown.js'

const root = new URL('../..', import.meta.url).pathname
const handbook = join(root, 'web/handbook')
const files = readdirSync(handbook).filter(name => name.endsWith('.md'))
const rendered = new Map(
  files.map(name => [name.slice(0, -3), renderChapter(readFileSync(join(handbook, name), 'utf8'))]),
)

/** where a link like "sensors#what-makes-a-sensor-suspect" leads to nothing; empty when it is right */
const wrong = (chapter: string, anchor: string | undefined): string => {
  const there = rendered.get(chapter)
  if (!there) return `no chapter ${chapter}`
  return anchor === undefined || there.headings.some(h => h.id === anchor) ? '' : `no heading #${anchor} in ${chapter}`
}

const sources = (folder: string): string[] =>
  readdirSync(folder, { withFileTypes: true }).flatMap(entry => {
    const path = join(folder, entry.name)
    return entry.isDirectory() ? sources(path) : entry.name.endsWith('.tsx') ? [path] : []
  })

describe('the handbook', () => {
  it('lists every chapter that is there, and no other', () => {
    expect([...rendered.keys()].sort()).toEqual(['index', ...chapters.map(c => c.id)].sort())
    for (const { id, text } of chapters) expect(rendered.get(id)!.title, id).toBe(text)
  })

  it('has an answer for every “What is this?” of the pages', () => {
    const asked = sources(join(root, 'web')).flatMap(path =>
      [...readFileSync(path, 'utf8').matchAll(/\babout="([a-z-]+)#([a-z0-9-]+)"/g)].map(m => ({ path, m })),
    )
    expect(asked.length).toBeGreaterThan(12)
    for (const { path, m } of asked) expect(wrong(m[1]!, m[2]), path).toBe('')
  })

  it('leads nowhere in vain, nor does the README, which links to the same files', () => {
    const links = (source: string) => [...source.matchAll(/\]\(([^)]+)\)/g)].map(m => m[1]!)
    for (const [name, { html }] of rendered)
      for (const [, chapter, anchor] of html.matchAll(/href="\/handbook(?:\/([a-z-]+))?(?:#([^"]+))?"/g))
        expect(wrong(chapter ?? 'index', anchor), name).toBe('')
    for (const name of files)
      for (const link of links(readFileSync(join(handbook, name), 'utf8')))
        expect(existsSync(join(handbook, link.split('#')[0]!)), `${name}: ${link}`).toBe(true)
    for (const link of links(readFileSync(join(root, 'README.md'), 'utf8'))) {
      const [file, anchor] = link.split('#')
      expect(existsSync(join(root, file!)), link).toBe(true)
      const chapter = /^web\/handbook\/([a-z-]+)\.md$/.exec(file!)
      if (chapter) expect(wrong(chapter[1]!, anchor), link).toBe('')
    }
  })

  it('takes HTML within a chapter as text, and gives two headings of one name two anchors', () => {
    const { html, headings } = renderChapter('# A <b>b</b>\n\n<img src=x onerror=alert(1)>\n\n## Same\n\n## Same\n')
    expect(html).not.toMatch(/<img|<b>/)
    expect(html).toContain('&lt;img')
    expect(headings.map(h => h.id)).toEqual(['a-bbb', 'same', 'same-1'])
  })

  it('shows whole shop files that the service takes as they stand, as does the README', () => {
    for (const path of [join(root, 'README.md'), join(handbook, 'shop-file.md')]) {
      const whole = [...readFileSync(path, 'utf8').matchAll(/```yaml\n(shop: .*?)```/gs)].map(m => m[1]!)
      expect(whole.length, path).toBe(1)
      const read = parseShop(whole[0]!, path)
      expect('problems' in read ? describeProblems(read.problems) : '').toBe('')
    }
  })
})
