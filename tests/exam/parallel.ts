import { type ChildProcess, fork } from 'node:child_process'
import type { Examined, FromWorker, ToWorker } from './worker.js'

/**
 * Examines random shops on worker processes; each takes the next shop when it is done with one.
 *
 * @param what of each is examined
 * @param numbers of the shops
 * @param onProgress 0..1 of all of it
 * @returns records in the order of the numbers
 * @throws when a shop cannot be examined or a worker ends
 */
export const examineInParallel = <What extends keyof Examined>(
  what: What,
  numbers: readonly number[],
  days: number,
  workers: number,
  onProgress: (part: number) => void,
): Promise<Examined[What][]> =>
  new Promise((resolve, reject) => {
    const records: Examined[What][] = new Array(numbers.length)
    const parts = new Array<number>(numbers.length).fill(0)
    const children: ChildProcess[] = []
    let next = 0
    let done = 0
    let over = false
    const end = (settle: () => void): void => {
      if (over) return
      over = true
      for (const child of children) child.kill()
      settle()
    }
    const employ = (): void => {
      // the loader that runs TypeScript is handed on with this process' own options
      const child = fork(new URL('./worker.ts', import.meta.url), { serialization: 'advanced' })
      children.push(child)
      let at = 0
      const give = (): void => {
        if (next >= numbers.length) {
          child.disconnect()
          return
        }
        at = next++
        child.send({ what, number: numbers[at]!, days } satisfies ToWorker)
      }
      child.on('message', (message: FromWorker) => {
        if ('failed' in message) return end(() => reject(new Error(message.failed)))
        parts[at] = 'progress' in message ? message.progress : 1
        onProgress(parts.reduce((a, b) => a + b, 0) / numbers.length)
        if (!('record' in message)) return
        records[at] = message.record as Examined[What]
        done++
        if (done === numbers.length) end(() => resolve(records))
        else give()
      })
      child.on('exit', code => {
        if (done < numbers.length && code) end(() => reject(new Error(`a worker ended with ${code}`)))
      })
      give()
    }
    for (let n = 0; n < Math.min(workers, numbers.length); n++) employ()
  })
