import { useState } from 'preact/hooks'
import type { Shop } from '../../core/shop.js'
import { setQuery } from '../address.js'
import { Button } from '../frame/button.js'
import { grouped, thermometers, writtenSensors } from './choice.js'

/** Which sensors are at one temperature together, by machine. */
export const SensorPicker = ({ shop, chosen }: { shop: Shop; chosen: ReadonlySet<string> }) => {
  // a choice that came with the address need not be made again
  const [opened] = useState(chosen.size < 3)
  const all = thermometers(shop).map(s => s.id)
  const choose = (next: ReadonlySet<string>) =>
    // in the shop's order, whatever the order of clicks
    setQuery({ sensors: writtenSensors(new Set(all.filter(id => next.has(id))), shop) })
  const change = (ids: readonly string[], included: boolean) => {
    const next = new Set(chosen)
    for (const id of ids) {
      if (included) next.add(id)
      else next.delete(id)
    }
    choose(next)
  }
  return (
    <details class="picker" open={opened}>
      <summary>
        Sensors that are together: {chosen.size} of {all.length} chosen
      </summary>
      <div class="buttons">
        <Button small onClick={() => choose(new Set(all))}>
          Choose all
        </Button>
        <Button small onClick={() => choose(new Set())}>
          Choose none
        </Button>
      </div>
      <div class="picker-groups">
        {grouped(shop).map(({ name, sensors }) => {
          const ids = sensors.map(s => s.id)
          const whole = ids.every(id => chosen.has(id))
          return (
            <fieldset key={name} class="picker-group">
              <legend>{name}</legend>
              <label class="check is-whole">
                <input
                  type="checkbox"
                  aria-label={`All of ${name}`}
                  checked={whole}
                  onChange={event => change(ids, event.currentTarget.checked)}
                />
                all {ids.length}
              </label>
              {sensors.map(s => (
                <label key={s.id} class="check">
                  <input
                    type="checkbox"
                    checked={chosen.has(s.id)}
                    onChange={event => change([s.id], event.currentTarget.checked)}
                  />
                  {s.name}
                </label>
              ))}
            </fieldset>
          )
        })}
      </div>
    </details>
  )
}
