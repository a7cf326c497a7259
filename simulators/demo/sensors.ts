import type { MachinePlant, Measured, SensorPlant } from '../plant.js'

const device: Omit<SensorPlant, 'id' | 'topic' | 'measures'> = {
  payload: { kind: 'json', value: 'value', time: 'ms' },
  unit: '°C',
  interval: 10,
  lag: 60,
  airShare: 0,
  bias: 0.05,
  placement: 0,
  noise: 0.02,
  resolution: 1 / 16,
}

/** Sensors on one machine: its air, its coolant, each screw or scale that is not cooled, and the bodies named. */
const onMachine = (
  machine: MachinePlant,
  bodies: readonly string[],
  device: Omit<SensorPlant, 'id' | 'topic' | 'measures'>,
): SensorPlant[] => {
  const sensor = (name: string, measures: Measured, more: Partial<SensorPlant> = {}): SensorPlant => ({
    ...device,
    ...more,
    id: `${machine.id}-${name}`,
    topic: `shop/${machine.id}/${name}`,
    measures,
  })
  const touching = { lag: 80, airShare: 0.03, placement: 0.06 }
  const sensors = [sensor('air', { kind: 'machine air', machine: machine.id }, { lag: 45 })]
  if (machine.coolant)
    sensors.push(sensor('coolant', { kind: 'coolant', machine: machine.id }, { lag: 30, placement: 0.03 }))
  for (const axis of machine.axes) {
    const part = axis.measuring
    if (part.kind === 'screw' && part.core) continue
    sensors.push(
      sensor(
        `${axis.id.toLowerCase()}-${part.kind}`,
        { kind: 'measuring part', machine: machine.id, axis: axis.id, from: 0.05 * axis.travel, to: 0.6 * axis.travel },
        touching,
      ),
    )
  }
  for (const body of bodies)
    sensors.push(sensor(body, { kind: 'body', machine: machine.id, body }, { ...touching, placement: 0.08 }))
  return sensors
}

/** the bodies that carry a sensor, by machine */
const sensedBodies: Record<string, readonly string[]> = {
  'mill-1': ['column', 'head'],
  'mill-2': ['column-front', 'column-rear', 'head'],
  'mill-3': ['column', 'head'],
  'mill-4': ['column', 'head'],
  'mill-5': ['bed', 'column', 'head'],
  'lathe-1': ['bed', 'headstock'],
  'grinder-1': ['wheel-head'],
  'grinder-2': ['column'],
}

/** 1/min; machines whose control tells what the spindle turns at, and the most that is */
const told: Record<string, number> = { 'mill-1': 12_000, 'mill-5': 10_000 }

const speedOf = (machine: string): SensorPlant[] =>
  told[machine] === undefined
    ? []
    : [
        {
          ...device,
          id: `${machine}-spindle-speed`,
          topic: `shop/${machine}/spindle-speed`,
          unit: '1/min',
          measures: { kind: 'spindle', machine, highest: told[machine] },
          lag: 5,
          bias: 0,
          noise: 0,
          resolution: 10,
        },
      ]

const inAir: Partial<SensorPlant> = { lag: 45 }
/** on a battery that will not last much longer */
const byRadio: Partial<SensorPlant> = {
  ...inAir,
  tells: [
    { name: 'battery', level: 14, spread: 0.3, decimals: 0 },
    { name: 'rssi', level: -83, spread: 3, decimals: 0 },
  ],
}
const contact: Partial<SensorPlant> = {
  unit: 'state',
  interval: 60,
  payload: { kind: 'json', value: 'state', time: 'ms' },
}
const room = (id: string, topic: string, measures: Measured, more: Partial<SensorPlant> = inAir): SensorPlant => ({
  ...device,
  ...more,
  id,
  topic: `shop/${topic}`,
  measures,
})

const roomSensors: SensorPlant[] = [
  ...['dock-door', 'yard-door', 'supply-vent', 'room-vent', 'compressor', 'heater-north'].map(source =>
    room(`${source}-air`, `${source}/air`, { kind: 'beside', source }, source === 'yard-door' ? byRadio : inAir),
  ),
  // an old device: a bare number, without a time
  room('oven-air', 'oven/air', { kind: 'beside', source: 'oven' }, { ...inAir, payload: { kind: 'number' } }),
  room('dock-door-contact', 'dock-door/contact', { kind: 'state', source: 'dock-door' }, contact),
  room('yard-door-contact', 'yard-door/contact', { kind: 'state', source: 'yard-door' }, contact),
  room('compressor-running', 'compressor/running', { kind: 'state', source: 'compressor' }, contact),
  ...['south', 'middle', 'north'].map(zone => room(`hall-${zone}`, `hall/${zone}`, { kind: 'zone', zone })),
  room('fine-room', 'fine-room/middle', { kind: 'zone', zone: 'fine-room' }),
  room(
    'outdoors',
    'outdoors',
    { kind: 'outdoors' },
    { lag: 120, interval: 60, bias: 0.3, tells: [{ name: 'cell', level: 2.97, spread: 0.01, decimals: 2 }] },
  ),
]

/** All sensors of the demo shop: mill 3 writes its times as text, mill 1's head reports °F. */
export const demoSensors = (machines: readonly MachinePlant[]): SensorPlant[] => [
  ...machines.flatMap(machine => {
    const iso = machine.id === 'mill-3'
    const own = iso ? { ...device, payload: { kind: 'json', value: 'value', time: 'iso' } as const } : device
    return onMachine(machine, sensedBodies[machine.id] ?? [], own).map(sensor =>
      sensor.id === 'mill-1-head' ? { ...sensor, unit: '°F' as const } : sensor,
    )
  }),
  ...machines.flatMap(({ id }) => speedOf(id)),
  ...roomSensors,
]
