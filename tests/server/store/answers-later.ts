import { setImmediate } from 'node:timers/promises'
import type { Store } from '../../../server/store/store.js'

type Asked = Pick<Store, 'facts' | 'inspections' | 'append' | 'latest' | 'readings' | 'series'>

/** The same store, but each answer comes a turn of the event loop later, as from one beyond a network. */
export const answersLater = <Given extends Asked>(store: Given): Omit<Given, keyof Asked> & Asked => {
  const { facts } = store
  const later: Asked = {
    async append(readings) {
      await setImmediate()
      return store.append(readings)
    },
    async latest() {
      await setImmediate()
      return store.latest()
    },
    async *readings(from, to) {
      for await (const together of store.readings(from, to)) {
        await setImmediate()
        yield together
      }
    },
    async series(sensor, from, to, points) {
      await setImmediate()
      return store.series(sensor, from, to, points)
    },
    inspections: {
      async add(imported, entries) {
        await setImmediate()
        await store.inspections.add(imported, entries)
      },
      async *of(asked) {
        for await (const together of store.inspections.of(asked)) {
          await setImmediate()
          yield together
        }
      },
    },
    facts: {
      last: facts.last,
      async record(kind, entries) {
        await setImmediate()
        return facts.record(kind, entries)
      },
      async of(kind, span) {
        await setImmediate()
        return facts.of(kind, span)
      },
      async newest(kind, from) {
        await setImmediate()
        return facts.newest(kind, from)
      },
    },
  }
  return { ...store, ...later }
}
