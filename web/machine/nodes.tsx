import {
  formatDifference,
  formatDuration,
  formatMoment,
  formatRate,
  formatShare,
  formatTemperature,
  notKnown,
  type Zone,
} from '../../core/format.js'
import type { Machine, Sensor } from '../../core/shop.js'
import type { NodeState } from '../../core/state.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'
import { TrustMark } from '../shapes/trust.js'

interface Props {
  machine: Machine
  sensors: readonly Sensor[]
  states: readonly NodeState[]
  now: number
  zone: Zone
}

/** Every node of the machine: how warm, how fast it changes, what it follows and how slowly, whether it is believed. */
export const Nodes = ({ machine, sensors, states, now, zone }: Props) => {
  const system = units.value
  const stateOf = new Map(states.map(s => [s.node, s]))
  const nameOf = (id: string | null | undefined) => machine.nodes.find(n => n.id === id)?.name
  const sensed = (id: string) =>
    sensors.some(({ at }) => at.kind === 'node' && at.machine === machine.id && at.node === id)
  const valueFrom = ({ id, follows, standIn }: Machine['nodes'][number]): string => {
    const state = stateOf.get(id)
    if (!state?.standIn) return state?.at ? formatMoment(state.at, now, zone) : 'never reported'
    const instead = nameOf(standIn?.node)
    if (instead) return `stand-in: ${instead}`
    return `${sensed(id) ? 'taken' : 'predicted'} from ${nameOf(follows) ?? 'its surroundings'}`
  }
  const timeConstant = (state: NodeState | undefined): string =>
    state?.timeConstant
      ? `${formatDuration(state.timeConstant)} ± ${formatShare(state.timeConstantUncertainty)}`
      : notKnown
  return (
    <Table
      caption="Nodes"
      rows={machine.nodes}
      keyOf={({ id }) => id}
      columns={[
        { head: 'Node', names: true, cell: ({ name }) => name },
        {
          head: 'Temperature',
          form: 'number',
          plain: 'on a card',
          cell: ({ id }) => formatTemperature(stateOf.get(id)?.temperature ?? null, system, 2),
        },
        ['Rate', ({ id }) => formatRate(stateOf.get(id)?.rate ?? null, system)],
        { head: 'Follows', cell: ({ follows }) => nameOf(follows) ?? notKnown },
        ['Own excess', ({ id }) => formatDifference(stateOf.get(id)?.steadyExcess ?? null, system)],
        ['Time constant', ({ id }) => timeConstant(stateOf.get(id))],
        {
          head: 'Trust',
          plain: 'on a card',
          cell: ({ id }) =>
            sensed(id) ? <TrustMark trust={stateOf.get(id)?.trust ?? 'lost'} /> : <span class="quiet">no sensor</span>,
        },
        { head: 'Value from', cell: valueFrom },
      ]}
    />
  )
}
