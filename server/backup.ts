import { progressLine } from './demo/progress-line.js'
import { readBackupSettings, runCommand } from './settings/index.js'
import { backUp } from './store/backup.js'
import { damageWords } from './store/damage.js'

/** ms; what takes longer shows how far it is */
const patience = 2000

/** `npm run backup`: exit code 2 for settings that cannot be used, 1 when no copy could be made. */
await runCommand(readBackupSettings(process.argv.slice(2), process.env), async ({ data, to }) => {
  const begun = performance.now()
  const { bytes, holds, damaged } = await backUp(data, to, progressLine('copy', process.stdout, patience))
  const seconds = ((performance.now() - begun) / 1000).toFixed(1)
  process.stdout.write(`${to}: ${(bytes / 1e6).toFixed(1)} MB in ${seconds} s, checked\n`)
  process.stdout.write(
    holds
      ? `${holds.readings} readings of ${holds.sensors} sensors, the newest of ${holds.newestReading === null ? 'no time' : new Date(holds.newestReading).toISOString()}\n`
      : 'It is of another version of the service, so its readings were not counted.\n',
  )
  for (const found of damaged) process.stderr.write(`In the original, and so in the copy: ${damageWords(found)}\n`)
})
