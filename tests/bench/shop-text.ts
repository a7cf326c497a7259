import { stringify } from 'yaml'

/** s between two readings of one sensor */
const interval = 10

/** machines of ten sensors; whatever is more than this many machines need stands about the shop */
const mostMachines = 40
const nodesEach = 10

export interface BenchSensor {
  id: string
  topic: string
}

export interface BenchShop {
  yaml: string
  sensors: BenchSensor[]
  machines: number
}

const machine = (name: string) => ({
  name,
  place: 'hall',
  nodes: Object.fromEntries(
    Array.from({ length: nodesEach }, (_, n) => [
      n === 0 ? 'air' : `node-${n}`,
      n === 0
        ? { name: 'air at the machine', kind: 'air', placement: '0.2 K' }
        : { name: `node ${n}`, follows: 'air', 'time constant': `${30 + 20 * n} min ± 25 %`, placement: '0.2 K' },
    ]),
  ),
  axes: {
    X: {
      travel: '600 mm',
      'work at': '300 mm',
      screw: {
        material: 'screw steel',
        'fixed at': '-80 mm',
        mounting: 'one end fixed',
        nodes: { 'node-1': 0.5, 'node-2': 0.5 },
      },
    },
    Z: {
      travel: '400 mm',
      'work at': '200 mm',
      screw: { material: 'screw steel', 'fixed at': '-80 mm', mounting: 'one end fixed', nodes: 'node-3' },
    },
  },
  structure: [
    {
      bar: 'column',
      axis: 'Z',
      sign: '+',
      length: '600 mm',
      material: 'casting',
      nodes: { 'node-4': 0.5, 'node-5': 0.5 },
    },
    { bar: 'head', axis: 'Z', sign: '-', length: '250 mm', material: 'casting', nodes: 'node-6' },
  ],
  workpiece: { node: 'air', uncertainty: '0.3 K', 'time constant': '30 min' },
})

/** An invented shop with so many sensors, ten on each machine and, beyond forty machines, in the air of the shop. */
export const benchShop = (count: number): BenchShop => {
  const machines = Math.min(mostMachines, Math.floor(count / nodesEach))
  const sensors = Array.from({ length: count }, (_, i) => {
    const on = Math.floor(i / nodesEach)
    const id = on < machines ? `m${on}-n${i % nodesEach}` : `air-${i}`
    const at = on < machines ? `mill-${on}/${i % nodesEach === 0 ? 'air' : `node-${i % nodesEach}`}` : 'shop air'
    return { id, topic: `bench/${id}`, at }
  })
  const yaml = stringify({
    shop: {
      name: 'Bench shop (invented)',
      'time zone': 'Europe/Berlin',
      'reference temperature': '20 °C',
      invented: true,
    },
    materials: {
      'screw steel': { expansion: '11.5 µm/m/K ± 3 %', source: 'invented' },
      casting: { expansion: '10.8 µm/m/K ± 5 %', source: 'invented' },
    },
    'work classes': {
      bores: {
        name: 'Bores',
        tolerance: '22 µm',
        feature: '120 mm',
        material: 'screw steel',
        duration: '45 min',
        share: '30 %',
      },
    },
    machines: Object.fromEntries(Array.from({ length: machines }, (_, m) => [`mill-${m}`, machine(`Mill ${m}`)])),
    'sensor defaults': {
      unit: '°C',
      interval: `${interval} s`,
      uncertainty: '0.1 K',
      payload: { value: 'value', time: 'time' },
    },
    sensors: Object.fromEntries(sensors.map(({ id, topic, at }) => [id, { topic, at }])),
  })
  return { yaml, sensors, machines }
}
