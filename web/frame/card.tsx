import type { ComponentChildren } from 'preact'
import { addressOf } from '../routes.js'

interface Title {
  /** of the heading, for the card that it labels; none where the card is named otherwise */
  id?: string
  text: string
  /** what the handbook says of it: chapter and anchor, "pages#the-datum" */
  about: string
}

/** What a card is called, the way to what the handbook says of it, and what stands beside that. */
export const CardTitle = ({ id, text, about, children }: Title & { children?: ComponentChildren }) => {
  const [chapter, anchor] = about.split('#')
  const title = (
    <div class="flow card-title">
      <h2 id={id}>{text}</h2>
      <a href={`${addressOf('chapter', chapter)}#${anchor}`} aria-label={`What is this? ${text}`}>
        What is this?
      </a>
    </div>
  )
  if (children === undefined) return title
  return (
    <div class="panel-head">
      {title}
      {children}
    </div>
  )
}

interface Props extends Title {
  id: string
  /** beside "panel" */
  class?: string
  children: ComponentChildren
}

/** A part of a page with a name of its own, and nothing beside it. */
export const Card = ({ class: more, children, ...title }: Props) => (
  <section class={more ? `panel ${more}` : 'panel'} aria-labelledby={title.id}>
    <CardTitle {...title} />
    {children}
  </section>
)
