import { useEffect, useState } from 'preact/hooks'
import { Frame } from '../frame/frame.js'
import { addressOf } from '../routes.js'
import { chapters } from './chapters.js'
import type { Chapter } from './markdown.js'
import './handbook.css'

const files = import.meta.glob<Chapter>('./*.md', { import: 'default' })

const Contents = ({ present, headings }: { present: string; headings: Chapter['headings'] }) => (
  <nav class="contents" aria-label="Handbook">
    <a href={addressOf('handbook')} aria-current={present === 'index' ? 'page' : undefined}>
      Handbook
    </a>
    <ul>
      {chapters.map(({ id, text }) => (
        <li key={id}>
          <a href={addressOf('chapter', id)} aria-current={id === present ? 'page' : undefined}>
            {text}
          </a>
          {id === present && headings.length > 0 && (
            <ul>
              {headings.map(heading => (
                <li key={heading.id}>
                  <a href={`#${heading.id}`}>{heading.text}</a>
                </li>
              ))}
            </ul>
          )}
        </li>
      ))}
    </ul>
  </nav>
)

/**
 * A chapter of the handbook, or its first page. Its HTML was rendered from our own files when the pages were built.
 *
 * @param id of the chapter, as in the address; empty for the first page
 */
export const HandbookPage = ({ id }: { id: string }) => {
  const name = id || 'index'
  const [shown, setShown] = useState<{ name: string; content: Chapter | null } | null>(null)
  useEffect(() => {
    const load = files[`./${name}.md`]
    const show = (content: Chapter | null) => setShown({ name, content })
    if (!load) return show(null)
    load().then(show, () => location.reload())
  }, [name])
  const content = shown?.name === name ? shown.content : undefined
  useEffect(() => {
    // an address with an anchor was opened before there was anything to go to
    if (content && location.hash) document.getElementById(decodeURIComponent(location.hash.slice(1)))?.scrollIntoView()
  }, [content])
  return (
    <Frame title={content?.title || 'Handbook'}>
      <div class="stack handbook">
        <Contents present={name} headings={content?.headings.filter(h => h.level === 2) ?? []} />
        {content && <article class="chapter" dangerouslySetInnerHTML={{ __html: content.html }} />}
        {content === null && (
          <div>
            <h1 tabIndex={-1}>No such chapter</h1>
            <p class="empty">The handbook has no chapter “{id}”.</p>
          </div>
        )}
      </div>
    </Frame>
  )
}
