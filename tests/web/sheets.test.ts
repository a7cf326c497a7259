import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, normalize } from 'node:path'
import { describe, expect, it } from 'vitest'
import { projectRoot } from '../../server/project.js'

const web = join(projectRoot, 'web')
const files = readdirSync(web, { recursive: true, encoding: 'utf8' })
const textOf = (file: string) => readFileSync(join(web, file), 'utf8')
const folderOf = (file: string) => dirname(file)

/** folders whose sheets every page has, or has with what it draws */
const shared = ['frame', 'styles', 'shapes', 'charts']
/** what every page has: the wall comes with whichever page is opened first */
const everywhere = [...shared, 'wall']

/** the classes that a sheet has rules of; those that only say more of another (`is-…`, `reads-…`) mean what that one means */
const classesIn = (sheet: string) => {
  const selectors = textOf(sheet)
    .replace(/\/\*.*?\*\//gs, '')
    .replace(/\{[^{}]*\}/g, '{}')
  return new Set([...selectors.matchAll(/\.([a-z][\w-]*)/g)].map(m => m[1]!).filter(name => !/^(is|reads)-/.test(name)))
}

/** the classes that markup is given as they stand */
const classesOf = (text: string) => {
  const plain = [...text.matchAll(/class="([^"]*)"/g)].map(m => m[1]!)
  const chosen = [...text.matchAll(/class=\{([^}]*)\}/g)].flatMap(m => [...m[1]!.matchAll(/[?:&] '([^']*)'/g)])
  const given = [...plain, ...chosen.map(m => m[1]!)]
  return new Set(given.flatMap(words => words.split(/[^\w-]+/)).filter(name => /^[a-z]/.test(name)))
}

const sheets = files.filter(file => file.endsWith('.css')).map(file => ({ file, classes: classesIn(file) }))
const markup = files.filter(file => file.endsWith('.tsx')).map(file => ({ file, text: textOf(file) }))

/** the sheets that the parts of a folder ask for, and those beside them */
const sheetsAt = (folder: string) =>
  new Set([
    ...sheets.filter(({ file }) => folderOf(file) === folder).map(({ file }) => file),
    ...markup
      .filter(({ file }) => folderOf(file) === folder)
      .flatMap(({ file, text }) =>
        [...text.matchAll(/import '(\..*\.css)'/g)].map(m => normalize(join(folderOf(file), m[1]!))),
      ),
  ])

describe('style sheets', () => {
  // a page's sheet is there once that page has been looked at: who leans on it looks otherwise before than after
  it('have no rule that another page leans on without asking for the sheet', () => {
    const leaning = markup.flatMap(({ file, text }) => {
      const there = sheetsAt(folderOf(file))
      return [...classesOf(text)].flatMap(name => {
        const by = sheets.filter(({ classes }) => classes.has(name)).map(sheet => sheet.file)
        const has = by.some(sheet => there.has(sheet) || everywhere.includes(folderOf(sheet)))
        return by.length === 0 || has ? [] : [`${file}: ${name}, of ${by.join(' and ')}`]
      })
    })
    expect(leaning).toEqual([])
  })

  it('of a page alone change nothing that a shared sheet or another page has rules of, but within that page', () => {
    const alone = (sheet: string) =>
      [
        ...textOf(sheet)
          .replace(/\/\*.*?\*\//gs, '')
          .matchAll(/^\s*\.([a-z][\w-]*)(?:,| \{)$/gm),
      ].map(m => m[1]!)
    const twice = sheets
      .filter(({ file }) => !shared.includes(folderOf(file)))
      .flatMap(({ file }) =>
        alone(file)
          .filter(name =>
            sheets.some(other => folderOf(other.file) !== folderOf(file) && alone(other.file).includes(name)),
          )
          .map(name => `${file}: ${name}`),
      )
    expect(twice).toEqual([])
  })
})
