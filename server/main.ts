import { keepMemoryLean } from './lean-memory.js'
import { createLog } from './log.js'
import { startService } from './service.js'
import { readStartSettings, usable } from './settings/index.js'
import { describeProblems, readShop } from './shop/index.js'
import { watchForChange } from './shop-changes.js'
import { untilStopped } from './until-stopped.js'

/** `npm start`: exit code 2 for settings or a shop file that cannot be used, 1 for a start that failed. */
const main = async (): Promise<void> => {
  const settings = usable(readStartSettings(process.argv.slice(2), process.env))
  if (!settings) return
  const read = readShop(settings.shop)
  if ('problems' in read) {
    process.stderr.write(`${describeProblems(read.problems)}\n`)
    process.exitCode = 2
    return
  }
  const { shop } = read
  const log = createLog(settings.log, process.stdout.isTTY)
  try {
    const service = await startService(settings, { shop, log })
    const readAnew = () => void service.changeShop(readShop(settings.shop))
    const stopWatching = watchForChange(settings.shop, readAnew)
    const stop = () => {
      stopWatching()
      return service.stop()
    }
    // a terminal that is closed says the same signal: then the service ends
    untilStopped(stop, text => log.info(text), process.stdin.isTTY ? undefined : readAnew)
    log.info(
      `${shop.name}: ${shop.machines.length} machines, ${shop.sensors.length} sensors; the pages are at ${service.url}`,
    )
    if (service.tokenFile) log.info(`writes need the token that lies in ${service.tokenFile}`)
  } catch (error) {
    log.error(error instanceof Error ? error.message : String(error))
    log.debug({ err: error }, 'where it failed')
    process.exitCode = 1
  }
}

keepMemoryLean()
await main()
