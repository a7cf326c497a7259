import { progressLine } from './demo/progress-line.js'
import { readBackupSettings, usable } from './settings/index.js'
import { backUp } from './store/backup.js'
import { damageWords } from './store/damage.js'

/** ms; what takes longer shows how far it is */
const patience = 2000

/** `npm run backup`: exit code 2 for settings that cannot be used, 1 when no copy could be made. */
const main = async (): Promise<void> => {
  const settings = usable(readBackupSettings(process.argv.slice(2), process.env))
  if (!settings) return
  const { data, to } = settings
  const begun = performance.now()
  const progress = progressLine('copy', process.stdout)
  try {
    const { bytes, holds, damaged } = await backUp(data, to, part => {
      if (performance.now() - begun > patience) progress(part)
    })
    const seconds = ((performance.now() - begun) / 1000).toFixed(1)
    process.stdout.write(`${to}: ${(bytes / 1e6).toFixed(1)} MB in ${seconds} s, checked\n`)
    process.stdout.write(
      holds
        ? `${holds.readings} readings of ${holds.sensors} sensors, the newest of ${holds.newestReading === null ? 'no time' : new Date(holds.newestReading).toISOString()}\n`
        : 'It is of another version of the service, so its readings were not counted.\n',
    )
    for (const found of damaged) process.stderr.write(`In the original, and so in the copy: ${damageWords(found)}\n`)
  } catch (error) {
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`)
    process.exitCode = 1
  }
}

await main()
