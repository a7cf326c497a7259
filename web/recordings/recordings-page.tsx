import { Frame } from '../frame/frame.js'
import { shop } from '../live/state.js'
import { Export } from './export.js'
import { Import } from './import.js'
import './recordings.css'

export const RecordingsPage = () => (
  <Frame title="Recordings">
    {shop.value && (
      <>
        <div>
          <h1 tabIndex={-1}>Recordings</h1>
          <p class="quiet">Readings in and out as files</p>
        </div>
        <Import sensors={shop.value.sensors} zone={shop.value.timeZone} />
        <Export shop={shop.value} />
      </>
    )}
  </Frame>
)
