import { createIngest } from '../../../server/ingest/ingest.js'
import type { Reading } from '../../../server/ingest/reading.js'
import { openStore } from '../../../server/store/sqlite.js'
import { sensor } from './sensors.js'

// Store and ingest in a process of their own, to be killed: FOLDER URL SENSORS [ACKNOWLEDGING]. Says "connected" and how
// many it stored. Acknowledging "before the commit" is the mistake that a test must be able to find: what is said to be
// stored is only stored a little later.
const [folder = '', url = '', sensors = '1', acknowledging = 'after the commit'] = process.argv.slice(2)

const store = openStore(folder)
const later = (readings: readonly Reading[]): Reading[] => {
  setTimeout(() => store.append(readings), 100)
  return [...readings]
}
const say = (text: string) => process.stdout.write(`${text}\n`)
const ingest = createIngest({
  broker: { url },
  sensors: Array.from({ length: Number(sensors) }, (_, index) => sensor(`s${index}`)),
  store: acknowledging === 'before the commit' ? { ...store, append: later } : store,
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
