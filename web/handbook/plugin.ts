import type { Plugin } from 'vite'
import { renderChapter } from './markdown.js'

/** Makes each Markdown file a module of its chapter, rendered when the pages are built; pictures become built files. */
export const handbook = (): Plugin => ({
  name: 'handbook',
  transform: {
    filter: { id: /\.md$/ },
    handler(source) {
      const pictures: string[] = []
      const chapter = renderChapter(source, name => `picture:${pictures.push(name) - 1}:`)
      const imports = pictures.map((name, i) => `import picture${i} from './${name}'\n`).join('')
      const html = JSON.stringify(chapter.html).replace(/picture:(\d+):/g, '" + picture$1 + "')
      const rest = JSON.stringify({ title: chapter.title, headings: chapter.headings })
      return { code: `${imports}export default { ...${rest}, html: ${html} }`, map: { mappings: '' }, moduleType: 'js' }
    },
  },
})
