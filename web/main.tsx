import { type ComponentType, render } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { go, path, query } from './address.js'
import { Frame } from './frame/frame.js'
import { startLive } from './live/state.js'
import { addressOf, type Route, routeOf } from './routes.js'
import './styles/tokens.css'
import './styles/base.css'
import { Button } from './frame/button.js'
import { Wall } from './wall/wall.js'

/** @param id what stands in the address for `:id` or `:chapter`; empty where there is none */
type Page = ComponentType<{ id: string; route: Route }>

/** A page whose code is fetched when it is first opened: most screens show the wall, which needs no charts. */
const later = (load: () => Promise<Page>): Page => {
  const Later: Page = props => {
    const [state, setState] = useState<{ page?: Page; failed?: boolean }>({})
    useEffect(() => {
      load().then(
        page => setState({ page }),
        () => setState({ failed: true }),
      )
    }, [])
    if (state.page) return <state.page {...props} />
    return <Frame title="Quiet Iron">{state.failed && <NotLoaded />}</Frame>
  }
  return Later
}

const NotLoaded = () => (
  <p class="problem" role="alert">
    This page could not be loaded: the service did not answer, or was renewed meanwhile.{' '}
    <Button onClick={() => location.reload()}>Load again</Button>
  </p>
)

const machine = later(() => import('./machine/machine-page.js').then(m => m.MachinePage))
const handbook = later(() => import('./handbook/handbook-page.js').then(m => m.HandbookPage))

const pages: Record<Route, Page> = {
  wall: Wall,
  morning: later(() => import('./morning/morning-page.js').then(m => m.MorningPage)),
  investigate: later(() => import('./investigate/investigate-page.js').then(m => m.InvestigatePage)),
  machine,
  ahead: machine,
  history: machine,
  happened: later(() => import('./happened/happened-page.js').then(m => m.HappenedPage)),
  budget: machine,
  model: machine,
  environment: later(() => import('./environment/environment-page.js').then(m => m.EnvironmentPage)),
  alignment: later(() => import('./alignment/alignment-page.js').then(m => m.AlignmentPage)),
  spindle: later(() => import('./spindle/spindle-page.js').then(m => m.SpindlePage)),
  spindleTest: later(() => import('./spindle/test-page.js').then(m => m.SpindleTestPage)),
  toolPlan: later(() => import('./tool-plan/tool-plan-page.js').then(m => m.ToolPlanPage)),
  sensors: later(() => import('./sensors/sensors-page.js').then(m => m.SensorsPage)),
  calibration: later(() => import('./calibration/calibration-page.js').then(m => m.CalibrationPage)),
  heating: later(() => import('./heating/heating-page.js').then(m => m.HeatingPage)),
  soak: later(() => import('./soak/soak-page.js').then(m => m.SoakPage)),
  records: later(() => import('./records/records-page.js').then(m => m.RecordsPage)),
  recordings: later(() => import('./recordings/recordings-page.js').then(m => m.RecordingsPage)),
  about: later(() => import('./about/about-page.js').then(m => m.AboutPage)),
  handbook,
  chapter: handbook,
}

const NotFound = () => (
  <Frame title="No such page">
    <h1 tabIndex={-1}>There is no page here</h1>
    <p>
      <a href="/">The wall</a> shows every machine.
    </p>
  </Frame>
)

/** What is shown at an address. */
const Shown = () => {
  const at = routeOf(path.value)
  if (!at) return <NotFound />
  const Page = pages[at.route]
  return <Page id={at.part} route={at.route} />
}

/** A machine's page once held all its views: an address that asked for a stretch of time or a plan still gets it. */
const oldAddress = () => {
  const at = routeOf(path.value)
  if (at?.route !== 'machine') return
  const asks = (...keys: string[]) => keys.some(key => query.value.has(key))
  const view = asks('plan', 'ahead') ? 'ahead' : asks('span', 'from', 'to') ? 'history' : null
  if (view) go(addressOf(view, at.part) + location.search, 'replace')
}

oldAddress()
startLive()
render(<Shown />, document.getElementById('page')!)
