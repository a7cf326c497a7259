import type { ComponentChildren } from 'preact'
import { useEffect } from 'preact/hooks'
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
