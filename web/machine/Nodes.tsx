import {
  formatDifference,
  formatDuration,
  formatMoment,
  formatRate,
  formatShare,
  formatTemperature,
  notKnown,
  type UnitSystem,
} from '../../core/format.js'
import type { Machine, Sensor } from '../../core/shop.js'
import type { NodeState } from '../../core/state.js'
import { Scrolls } from '../frame/Scrolls.js'
import { TrustMark } from '../shapes/Trust.js'

interface Props {
  machine: Machine
  sensors: readonly Sensor[]
  states: readonly NodeState[]
  system: UnitSystem
  now: number
  zone: string
}

/** Every node of the machine: how warm, how fast it changes, what it follows and how slowly, whether it is believed. */
export const Nodes = ({ machine, sensors, states, system, now, zone }: Props) => (
  <Scrolls label="Nodes">
    <table class="table">
      <thead>
        <tr>
          <th scope="col">Node</th>
          <th scope="col" class="number">
            Temperature
          </th>
          <th scope="col" class="number">
            Rate
          </th>
          <th scope="col">Follows</th>
          <th scope="col" class="number">
            Own excess
          </th>
          <th scope="col" class="number">
            Time constant
          </th>
          <th scope="col">Trust</th>
          <th scope="col">Value from</th>
        </tr>
      </thead>
      <tbody>
        {machine.nodes.map(node => {
          const state = states.find(s => s.node === node.id)
          const standIn = machine.nodes.find(n => n.id === node.standIn?.node)
          const sensed = sensors.some(
            ({ at }) => at.kind === 'node' && at.machine === machine.id && at.node === node.id,
          )
          const follows = machine.nodes.find(n => n.id === node.follows)
          return (
            <tr key={node.id}>
              <th scope="row">{node.name}</th>
              <td class="number">{formatTemperature(state?.temperature ?? null, system, 2)}</td>
              <td class="number">{formatRate(state?.rate ?? null, system)}</td>
              <td>{follows?.name ?? notKnown}</td>
              <td class="number">{formatDifference(state?.steadyExcess ?? null, system)}</td>
              <td class="number">
                {state?.timeConstant
                  ? `${formatDuration(state.timeConstant)} ± ${formatShare(state.timeConstantUncertainty)}`
                  : notKnown}
              </td>
              <td>{sensed ? <TrustMark trust={state?.trust ?? 'lost'} /> : <span class="quiet">no sensor</span>}</td>
              <td>
                {state?.standIn
                  ? standIn
                    ? `stand-in: ${standIn.name}`
                    : `${sensed ? 'taken' : 'predicted'} from ${follows?.name ?? 'its surroundings'}`
                  : state?.at
                    ? formatMoment(state.at, now, zone)
                    : 'never reported'}
              </td>
            </tr>
          )
        })}
      </tbody>
    </table>
  </Scrolls>
)
