import { addressOf } from '../routes.js'

interface Props {
  /** of the heading, for the card that it labels; none where the card is named otherwise */
  id?: string
  text: string
  /** what the handbook says of it: chapter and anchor, "pages#the-datum" */
  about: string
}

/** What a card is called, and the way to what the handbook says of it. */
export const CardTitle = ({ id, text, about }: Props) => {
  const [chapter, anchor] = about.split('#')
  return (
    <div class="card-title">
      <h2 id={id}>{text}</h2>
      <a href={`${addressOf('chapter', chapter)}#${anchor}`} aria-label={`What is this? ${text}`}>
        What is this?
      </a>
    </div>
  )
}
