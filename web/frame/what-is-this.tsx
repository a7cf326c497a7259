import type { ChapterId } from '../handbook/chapters.js'
import { addressOf } from '../routes.js'

interface Props {
  chapter: ChapterId
  /** of the heading within the chapter */
  anchor: string
  /** the name of the card it stands beside, for those who hear the link alone */
  of: string
}

/** The way from a card to what the handbook says of it. */
export const WhatIsThis = ({ chapter, anchor, of }: Props) => (
  <a class="what-is-this" href={`${addressOf('chapter', chapter)}#${anchor}`} aria-label={`What is this? ${of}`}>
    What is this?
  </a>
)
