import { type ComponentType, render } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { go, path, query } from './address.js'
import { Frame } from './frame/frame.js'
import { startLive } from './live/state.js'
import { addressOf, routeOf } from './routes.js'
import './styles/tokens.css'
import './styles/base.css'
import { Button } from './frame/button.js'
import { Wall } from './wall/wall.js'

/** A page whose code is fetched when it is first opened: most screens show the wall, which needs no charts. */
const later = <P extends object>(load: () => Promise<ComponentType<P>>) => {
  const Later = (props: P) => {
    const [state, setState] = useState<{ page?: ComponentType<P>; failed?: boolean }>({})
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

const MorningPage = later(() => import('./morning/morning-page.js').then(m => m.MorningPage))
const MachinePage = later(() => import('./machine/machine-page.js').then(m => m.MachinePage))
const InvestigatePage = later(() => import('./investigate/investigate-page.js').then(m => m.InvestigatePage))
const HappenedPage = later(() => import('./happened/happened-page.js').then(m => m.HappenedPage))
const EnvironmentPage = later(() => import('./environment/environment-page.js').then(m => m.EnvironmentPage))
const AlignmentPage = later(() => import('./alignment/alignment-page.js').then(m => m.AlignmentPage))
const SpindlePage = later(() => import('./spindle/spindle-page.js').then(m => m.SpindlePage))
const SpindleTestPage = later(() => import('./spindle/test-page.js').then(m => m.SpindleTestPage))
const ToolPlanPage = later(() => import('./tool-plan/tool-plan-page.js').then(m => m.ToolPlanPage))
const SensorsPage = later(() => import('./sensors/sensors-page.js').then(m => m.SensorsPage))
const CalibrationPage = later(() => import('./calibration/calibration-page.js').then(m => m.CalibrationPage))
const HeatingPage = later(() => import('./heating/heating-page.js').then(m => m.HeatingPage))
const SoakPage = later(() => import('./soak/soak-page.js').then(m => m.SoakPage))
const RecordsPage = later(() => import('./records/records-page.js').then(m => m.RecordsPage))
const RecordingsPage = later(() => import('./recordings/recordings-page.js').then(m => m.RecordingsPage))
const HandbookPage = later(() => import('./handbook/handbook-page.js').then(m => m.HandbookPage))
const AboutPage = later(() => import('./about/about-page.js').then(m => m.AboutPage))

const NotFound = () => (
  <Frame title="No such page">
    <h1 tabIndex={-1}>There is no page here</h1>
    <p>
      <a href="/">The wall</a> shows every machine.
    </p>
  </Frame>
)

/** What is shown at an address. */
const Page = () => {
  const at = routeOf(path.value)
  if (!at) return <NotFound />
  switch (at.route) {
    case 'wall':
      return <Wall />
    case 'morning':
      return <MorningPage />
    case 'investigate':
      return <InvestigatePage />
    case 'happened':
      return <HappenedPage id={at.part} />
    case 'environment':
      return <EnvironmentPage id={at.part} />
    case 'alignment':
      return <AlignmentPage id={at.part} />
    case 'spindle':
      return <SpindlePage id={at.part} />
    case 'spindleTest':
      return <SpindleTestPage id={at.part} />
    case 'toolPlan':
      return <ToolPlanPage id={at.part} />
    case 'sensors':
      return <SensorsPage />
    case 'calibration':
      return <CalibrationPage />
    case 'heating':
      return <HeatingPage />
    case 'soak':
      return <SoakPage />
    case 'records':
      return <RecordsPage />
    case 'recordings':
      return <RecordingsPage />
    case 'about':
      return <AboutPage />
    case 'handbook':
    case 'chapter':
      return <HandbookPage chapter={at.part} />
    default:
      return <MachinePage id={at.part} view={at.route} />
  }
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
render(<Page />, document.getElementById('page')!)
