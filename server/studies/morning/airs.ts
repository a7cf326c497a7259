import { isThermometer, type Sensor, type Shop } from '../../../core/shop.js'

/** A place whose air the night is told of, and the sensors that tell it. */
export interface AirPlace {
  id: string
  name: string
  sensors: Sensor[]
}

/** The shop air, the areas of the shop file, outdoors; in a shop that has neither of the first two the air at the machines. */
export const airPlaces = ({
  sensors,
  areas = [],
  machines,
}: Pick<Shop, 'sensors' | 'areas' | 'machines'>): AirPlace[] => {
  const temperatures = sensors.filter(isThermometer)
  const of = (kind: Sensor['at']['kind']) => temperatures.filter(({ at }) => at.kind === kind)
  const airNodes = new Set(
    machines.flatMap(({ id, nodes }) => nodes.flatMap(node => (node.kind === 'air' ? [`${id}/${node.id}`] : []))),
  )
  const atMachines = temperatures.filter(({ at }) => at.kind === 'node' && airNodes.has(`${at.machine}/${at.node}`))
  const places = [
    { id: 'shop-air', name: 'Shop air', sensors: of('shop air') },
    ...areas.map(({ id, name, sensors: ids }) => ({
      id,
      name,
      sensors: temperatures.filter(sensor => ids.includes(sensor.id)),
    })),
  ].filter(place => place.sensors.length > 0)
  const indoors = places.length > 0 ? places : [{ id: 'machine-air', name: 'Air at the machines', sensors: atMachines }]
  return [...indoors, { id: 'outdoors', name: 'Outdoors', sensors: of('outdoors') }].filter(
    place => place.sensors.length > 0,
  )
}
