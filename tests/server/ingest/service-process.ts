import { createIngest } from '../../../server/ingest/ingest.js'
import { openStore } from '../../../server/store/sqlite.js'
import { sensor } from './sensors.js'

// Store and ingest in a process of their own, to be killed: FOLDER URL SENSORS. Says "connected" and how many it stored.
const [folder = '', url = '', sensors = '1'] = process.argv.slice(2)

const store = openStore(folder)
const say = (text: string) => process.stdout.write(`${text}\n`)
const ingest = createIngest({
  broker: { url },
  sensors: Array.from({ length: Number(sensors) }, (_, index) => sensor(`s${index}`)),
  store,
  onReadings: readings => say(`stored ${readings.length}`),
  onBroker: state => say(state),
  log: { info: say, warn: say, error: say },
})
ingest.start()
process.once('SIGTERM', () => {
  void ingest.stop().then(() => {
    store.close()
    process.exit(0)
  })
})
