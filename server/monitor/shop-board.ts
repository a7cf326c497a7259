import type { Sensor, Shop } from '../../core/shop.js'
import type { CommonCause, MachineState, ShopState } from '../../core/state.js'
import { commonCauseOf } from './common-cause.js'
import { EvenMeans } from './even-means.js'
import type { SensorBoard } from './sensor-board.js'
import type { SourceBoard } from './source-board.js'
import type { UsualMornings } from './usual-mornings.js'

/** min; over which the shop air's rate is taken */
const airRateMinutes = 45

const meanOf = (values: readonly number[]): number | null =>
  values.length > 0 ? values.reduce((sum, value) => sum + value, 0) / values.length : null

/** What is said of the shop as a whole: its air, the outdoors, the broker, and what makes readings go missing. */
export class ShopBoard {
  broker: ShopState['broker'] = 'away'
  unstored: string | null = null
  filling: number | null = null
  /** why the changed shop file is not in force; null: it is */
  problem: string | null = null
  /** ms */
  newestReading: number | null = null
  private readonly troubles = new Map<string, string>()
  private air = new Map<string, EvenMeans>()
  private outdoors: string[] = []
  private shown = ''

  constructor(
    private readonly shop: Shop,
    private readonly sensors: SensorBoard,
    private readonly sources: SourceBoard,
    private readonly mornings: UsualMornings,
  ) {
    this.reshape(new Set())
  }

  /** The shop has other sensors now. @param anew those of which nothing is known */
  reshape(anew: ReadonlySet<string>): void {
    const kindOf = (kind: Sensor['at']['kind']) =>
      this.shop.sensors.filter(({ at }) => at.kind === kind).map(({ id }) => id)
    const before = this.air
    this.air = new Map(
      kindOf('shop air').map(id => [id, (!anew.has(id) && before.get(id)) || new EvenMeans(60_000, 60)]),
    )
    this.outdoors = kindOf('outdoors')
  }

  /** @param at ms */
  heard(at: number): void {
    if (this.newestReading === null || at > this.newestReading) this.newestReading = at
  }

  /** @param at ms @param value °C */
  take(sensor: string, at: number, value: number): void {
    this.air.get(sensor)?.add(at, value)
  }

  /** The offset of a sensor was changed by so many K. */
  shift(sensor: string, change: number): void {
    this.air.get(sensor)?.shift(change)
  }

  setTrouble(what: string, why: string | null): void {
    if (why === null) this.troubles.delete(what)
    else this.troubles.set(what, why)
  }

  /** @param machines as they are shown @param now ms */
  state(machines: readonly MachineState[], now: number): ShopState {
    const { broker, unstored, filling, problem, newestReading } = this
    const believed = (ids: Iterable<string>) => [...ids].flatMap(id => this.sensors.believedValue(id) ?? [])
    const rates = [...this.air].flatMap(([id, means]) =>
      this.sensors.isBelieved(id) ? means.rate(airRateMinutes) : [],
    )
    const common = this.shop.workClasses.flatMap(({ id }): CommonCause[] => {
      const found = commonCauseOf(this.shop, id, machines)
      return found ? [{ ...found, usual: this.mornings.coming(id, now) }] : []
    })
    return {
      at: now,
      air: meanOf(believed(this.air.keys())),
      airRate: meanOf(rates.filter(rate => !Number.isNaN(rate))),
      outdoors: meanOf(believed(this.outdoors)),
      sources: this.sources.states(),
      common,
      newestReading,
      broker,
      unstored,
      ...(problem !== null && { shopProblem: problem }),
      troubles: [...this.troubles.values()],
      filling,
    }
  }

  /** What is to be shown anew; null: the same as the last time. */
  takeChanged(machines: readonly MachineState[], now: number): ShopState | null {
    const state = this.state(machines, now)
    const { at: _, ...comparable } = state
    const text = JSON.stringify(comparable)
    if (text === this.shown) return null
    this.shown = text
    return state
  }
}
