import GithubSlugger from 'github-slugger'
import MarkdownIt from 'markdown-it'

interface Heading {
  level: number
  text: string
  /** the same as a repository's viewer gives it, so that links work there and here */
  id: string
}

export interface Chapter {
  title: string
  headings: Heading[]
  html: string
}

/** `sensors.md#suspect` and `sensors.md` become addresses of the handbook; a picture that of its built file */
const address = (href: string, pictures: (name: string) => string): string => {
  const chapter = /^([a-z-]+)\.md(#.*)?$/.exec(href)
  if (chapter) return `/handbook${chapter[1] === 'index' ? '' : `/${chapter[1]}`}${chapter[2] ?? ''}`
  return /^[a-z-]+\.png$/.test(href) ? pictures(href) : href
}

/**
 * A chapter of the handbook, from Markdown. HTML within the Markdown is not taken as HTML but shown as it is written.
 *
 * @param pictures the address of a picture that lies beside the chapter
 */
export const renderChapter = (source: string, pictures: (name: string) => string = name => name): Chapter => {
  const markdown = new MarkdownIt({ html: false })
  const slugs = new GithubSlugger()
  const headings: Heading[] = []
  markdown.core.ruler.push('addresses', state => {
    state.tokens.forEach((token, i) => {
      if (token.type === 'heading_open') {
        const inline = state.tokens[i + 1]?.children ?? []
        const text = inline.map(({ content }) => content).join('')
        const heading = { level: Number(token.tag.slice(1)), text, id: slugs.slug(text) }
        token.attrSet('id', heading.id)
        headings.push(heading)
      }
      for (const child of token.children ?? []) {
        const name = child.type === 'link_open' ? 'href' : child.type === 'image' ? 'src' : null
        if (name) child.attrSet(name, address(String(child.attrGet(name)), pictures))
      }
    })
  })
  // what is wider than the page, a table as a rule, is pushed sideways in itself, by keyboard too
  markdown.renderer.rules.table_open = () =>
    '<section class="scrolls" tabindex="0" aria-label="Table"><table class="table">'
  markdown.renderer.rules.table_close = () => '</table></section>'
  markdown.renderer.rules.fence = (tokens, i) =>
    `<pre class="scrolls" tabindex="0"><code>${markdown.utils.escapeHtml(tokens[i]!.content)}</code></pre>`
  const html = markdown.render(source)
  return { title: headings.find(h => h.level === 1)?.text ?? '', headings, html }
}
