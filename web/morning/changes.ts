import { computed } from '@preact/signals'
import { machines, sensors, shopState } from '../live/state.js'

/**
 * What an answer can turn on, as text: it changes when a verdict, a datum, a door or the trust in a sensor does, and not
 * with every reading.
 */
export const stateSignature = computed(() =>
  JSON.stringify([
    [...machines.value.values()].map(({ machine, datum, classes }) => [
      machine,
      datum?.id ?? null,
      classes.map(({ verdict }) => verdict),
    ]),
    [...sensors.value.values()].filter(({ trust }) => trust !== 'ok').map(({ sensor, trust }) => [sensor, trust]),
    (shopState.value?.sources ?? []).map(({ active }) => active),
  ]),
)
