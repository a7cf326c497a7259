import { batch, computed, signal } from '@preact/signals'
import type { Shop } from '../../core/shop.js'
import type { MachineState, SensorState, ShopState } from '../../core/state.js'
import { fetchShop } from '../api.js'
import { shopUnits } from '../preferences.js'
import { listen } from './connection.js'
import { type Heard, interruption, readingPatience, serviceNow } from './freshness.js'

/** The live state of the shop, kept in this module alone. Pages read these signals; nothing else writes them. */
export const shop = signal<Shop | null>(null)
export const version = signal('')
export const advice = signal('')
/** true when a write must carry a token */
export const writesNeedToken = signal(false)
/** why the shop could not be asked for, in words; empty when it could */
export const shopProblem = signal('')

export const shopState = signal<ShopState | null>(null)
export const machines = signal<ReadonlyMap<string, MachineState>>(new Map())
export const sensors = signal<ReadonlyMap<string, SensorState>>(new Map())

const heard = signal<Heard>({
  heardAt: null,
  openedAt: performance.now(),
  monotonicNow: performance.now(),
  serviceTime: null,
})

/** ms since 1970 by the service's clock, once a second; null until the service has told it */
export const now = computed(() => {
  const time = serviceNow(heard.value)
  return time === null ? null : Math.floor(time / 1000) * 1000
})

export const newestReading = computed(() => {
  let newest = shopState.value?.newestReading ?? null
  for (const { at } of sensors.value.values()) if (at !== null && (newest === null || at > newest)) newest = at
  return newest
})

const patience = computed(() => readingPatience(shop.value?.sensors ?? []))

/** what makes some readings go missing while others arrive */
export const troubles = computed(() => shopState.value?.troubles ?? [])

/** why the page may not be believed; null when all is well */
export const stopped = computed(() => interruption(heard.value, shopState.value, newestReading.value, patience.value))

/** the same kind of interruption, for parts of a page that need not be drawn again each second */
export const stoppedKind = computed(() => stopped.value?.kind ?? null)

let retry: ReturnType<typeof setTimeout> | undefined

const keepUp = async (): Promise<void> => {
  clearTimeout(retry)
  try {
    const answer = await fetchShop()
    // a new version of the service may speak otherwise than the pages loaded from the old one
    if (version.peek() !== '' && version.peek() !== answer.version) {
      location.reload()
      return
    }
    batch(() => {
      shop.value = answer.shop
      shopUnits.value = answer.shop.units ?? 'metric'
      version.value = answer.version
      advice.value = answer.advice
      writesNeedToken.value = answer.writesNeedToken
      shopProblem.value = ''
    })
  } catch (error) {
    shopProblem.value = error instanceof Error ? error.message : String(error)
    retry = setTimeout(() => void keepUp(), 5000)
  }
}

const byId = <T>(list: readonly T[], id: (item: T) => string): Map<string, T> =>
  new Map(list.map(item => [id(item), item]))

const take = (event: string, data: unknown): void => {
  const monotonic = performance.now()
  const mark = (serviceTime: number) => {
    heard.value = { ...heard.peek(), heardAt: monotonic, monotonicNow: monotonic, serviceTime }
  }
  batch(() => {
    if (event === 'beat') mark((data as { at: number }).at)
    if (event === 'anew') void keepUp()
    if (event === 'shop') shopState.value = data as ShopState
    if (event === 'machine') {
      const machine = data as MachineState
      machines.value = new Map(machines.peek()).set(machine.machine, machine)
    }
    if (event === 'sensors') {
      const next = new Map(sensors.peek())
      for (const sensor of data as SensorState[]) next.set(sensor.sensor, sensor)
      sensors.value = next
    }
    if (event === 'state') {
      const state = data as { shop: ShopState; machines: MachineState[]; sensors: SensorState[] }
      shopState.value = state.shop
      machines.value = byId(state.machines, m => m.machine)
      sensors.value = byId(state.sensors, s => s.sensor)
      // until the first beat the shop's own time stands in
      if (heard.peek().heardAt === null) mark(state.shop.at)
    }
  })
}

/** Begins to listen; called once, by the page. @returns a function that ends it */
export const startLive = (): (() => void) => {
  const tick = setInterval(() => {
    heard.value = { ...heard.peek(), monotonicNow: performance.now() }
  }, 1000)
  const stop = listen('/api/live', { onEvent: take, onOpen: () => void keepUp() })
  // not only when the stream opens: a page opened while the service is away must say so
  void keepUp()
  return () => {
    clearInterval(tick)
    clearTimeout(retry)
    stop()
  }
}
