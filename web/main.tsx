import { type ComponentType, render } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { Frame } from './frame/frame.js'
import { startLive } from './live/state.js'
import { path } from './place.js'
import './styles/tokens.css'
import './styles/base.css'
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
    <button type="button" class="button" onClick={() => location.reload()}>
      Load again
    </button>
  </p>
)

const MachinePage = later(() => import('./machine/machine-page.js').then(m => m.MachinePage))
const EnvironmentPage = later(() => import('./environment/environment-page.js').then(m => m.EnvironmentPage))
const SensorsPage = later(() => import('./sensors/sensors-page.js').then(m => m.SensorsPage))
const CalibrationPage = later(() => import('./calibration/calibration-page.js').then(m => m.CalibrationPage))
const RecordingsPage = later(() => import('./recordings/recordings-page.js').then(m => m.RecordingsPage))
const AboutPage = later(() => import('./about/about-page.js').then(m => m.AboutPage))

const machinePath = /^\/machine\/([^/]+)\/?$/

const environmentPath = /^\/machine\/([^/]+)\/environment\/?$/

const decoded = (part: string): string => {
  try {
    return decodeURIComponent(part)
  } catch {
    return part
  }
}

const NotFound = () => (
  <Frame title="No such page">
    <h1 tabIndex={-1}>There is no page here</h1>
    <p>
      <a href="/">The wall</a> shows every machine.
    </p>
  </Frame>
)

const Page = () => {
  const at = path.value
  const machine = machinePath.exec(at)
  const environment = environmentPath.exec(at)
  if (at === '/') return <Wall />
  if (machine) return <MachinePage id={decoded(machine[1]!)} />
  if (environment) return <EnvironmentPage id={decoded(environment[1]!)} />
  if (at === '/sensors') return <SensorsPage />
  if (at === '/calibration') return <CalibrationPage />
  if (at === '/recordings') return <RecordingsPage />
  if (at === '/about') return <AboutPage />
  return <NotFound />
}

startLive()
render(<Page />, document.getElementById('page')!)
