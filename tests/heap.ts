import { setFlagsFromString } from 'node:v8'
import { runInNewContext } from 'node:vm'

setFlagsFromString('--expose-gc')
const collect = runInNewContext('gc') as () => void

/** @returns bytes in use once what is garbage has been collected: only those can be compared */
export const heapInUse = (): number => {
  collect()
  return process.memoryUsage().heapUsed
}
