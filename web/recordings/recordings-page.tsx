import { Heading, shopPage } from '../frame/frame.js'
import { Export } from './export.js'
import { Import } from './import.js'
import './recordings.css'

export const RecordingsPage = shopPage('Recordings', ({ shop }) => (
  <>
    <Heading text="Recordings">Readings in and out as files</Heading>
    <Import sensors={shop.sensors} zone={shop.timeZone} />
    <Export shop={shop} />
  </>
))
