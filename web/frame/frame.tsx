import type { ComponentChildren, ComponentType } from 'preact'
import { useEffect } from 'preact/hooks'
import type { Shop } from '../../core/shop.js'
import { advice, now, shop, shopProblem, stopped, troubles } from '../live/state.js'
import { Interruption, Troubles } from './interruption.js'
import { Links } from './links.js'
import { replayWords } from './replay-words.js'
import { Switches } from './switches.js'
import './sheet.css'
import './dialog.css'
import './table.css'
import './print.css'

/** What every page but the wall stands in: links and switches above, a band when the data has stopped, advice below. */
export const Frame = ({ title, children }: { title: string; children: ComponentChildren }) => {
  const theShop = shop.value
  const interrupted = stopped.value
  useEffect(() => {
    document.title = `${title} · ${theShop?.name ?? 'Quiet Iron'}`
  }, [title, theShop?.name])
  return (
    <div class="sheet">
      <a class="skip" href="#content">
        To the content
      </a>
      <header class="flow sheet-bar">
        <Links />
        <div class="flow sheet-right">
          {theShop?.invented && <strong class="badge">Invented data</strong>}
          {theShop?.replay !== undefined && <strong class="badge">{replayWords(theShop.replay)}</strong>}
          <Switches />
        </div>
      </header>
      {interrupted && interrupted.kind !== 'connecting' && (
        <Interruption kind={interrupted} now={now.value} zone={theShop?.timeZone ?? 'UTC'} form="band" />
      )}
      {!interrupted && troubles.value.length > 0 && <Troubles all={troubles.value} />}
      <main id="content">
        {theShop ? (
          children
        ) : (
          <>
            <h1 tabIndex={-1}>{title}</h1>
            <p class="empty" role="status">
              {shopProblem.value ? `${shopProblem.value} This page tries again by itself.` : 'Asking the service …'}
            </p>
          </>
        )}
      </main>
      <footer class="sheet-foot">{advice.value}</footer>
    </div>
  )
}

/** A page about the shop, shown once that is known. */
export const shopPage = (title: string, Content: ComponentType<{ shop: Shop }>) => () => (
  <Frame title={title}>{shop.value && <Content shop={shop.value} />}</Frame>
)

/** What a page is called, and what it is about. */
export const Heading = ({ text, children }: { text: string; children: ComponentChildren }) => (
  <div>
    <h1 tabIndex={-1}>{text}</h1>
    <p class="quiet">{children}</p>
  </div>
)
