import type { CoolantPlant, DutyPlant, MachinePlant } from '../plant.js'
import { type Random, randomStream } from '../random.js'
import { aroundFactor, chance, oneOf, rounded } from './draws.js'
import { type FrameKind, makeFrame } from './frames.js'
import type { Materials } from './materials.js'
import { type Making, type Measuring, makeAxis, type SensedNode } from './measuring.js'
import { durationText, kelvinText, type Lengths, type MachineText } from './shop-text.js'
import type { Surroundings } from './surroundings.js'

export interface MadeMachine {
  plant: MachinePlant
  text: MachineText
  nodes: SensedNode[]
}

const measuringOf: Record<FrameKind, Measuring[]> = {
  mill: ['one end fixed', 'one end fixed', 'pretensioned', 'core-cooled', 'glass scale', 'steel scale'],
  lathe: ['one end fixed', 'pretensioned', 'glass scale'],
  grinder: ['one end fixed', 'glass scale', 'steel scale'],
}

const inWords: Record<Measuring, string> = {
  'one end fixed': 'steel screws',
  pretensioned: 'pretensioned screws',
  'core-cooled': 'core-cooled X screw',
  'glass scale': 'glass scales',
  'steel scale': 'steel scales',
}

const coolantOf = (random: Random): CoolantPlant => ({
  set: rounded(random, 19.5, 21, 0.5),
  towardsAir: random.between(0.05, 0.35),
  dutyRise: random.between(0.1, 0.6),
  settle: random.between(600, 1800),
  idle: random.between(3600, 9000),
  ripple: random.between(0.05, 0.25),
  period: random.between(8, 20) * 60,
  chiller: chance(random, 0.5) ? 'always' : 'working hours',
})

const dutyOf = (random: Random, kind: FrameKind, hours: Surroundings['workingHours']): DutyPlant => {
  const pace = kind === 'grinder' ? random.between(0.05, 0.15) : random.between(0.15, 0.5)
  const begin = Math.max(hours.from + 0.5, rounded(random, 5.5, 7, 0.5))
  const early = Math.min(hours.to, begin + rounded(random, 7, 9, 0.5))
  const shifts: DutyPlant['shifts'] = [{ weekdays: hours.weekdays, from: begin, to: early }]
  if (hours.to > early + 3 && chance(random, 0.7))
    shifts.push({ weekdays: hours.weekdays, from: early + 0.2, to: hours.to })
  const from = random.between(0.4, 1.5)
  return {
    shifts,
    spindle: pace,
    motion: pace * random.between(0.6, 1.1),
    job: [from, from + random.between(0.5, 2)],
  }
}

/** Which sources reach a machine: some of its zone's, and how much; its people know which, not how much. */
const influencesOf = (random: Random, surroundings: Surroundings, zone: string) =>
  surroundings.sources
    .filter(source => source.zone === zone)
    .flatMap(source => {
      const near = { door: 0.45, vent: 0.15, 'heat source': 0.12 }[source.kind]
      return chance(random, 0.6) ? [{ source: source.id, share: random.between(0.15, 1) * near }] : []
    })

/**
 * A machine as it is and as the shop's people describe it.
 *
 * @param stated what the shop states everywhere: materials, and how sure it is of time constants
 */
export const randomMachine = (
  seed: number,
  id: string,
  kind: FrameKind,
  surroundings: Surroundings,
  stated: { materials: Materials; lengths: Lengths; timeConstantUncertainty: number },
): MadeMachine => {
  const random = randomStream(seed, `random/${id}`)
  const zone = oneOf(random, surroundings.zones).id
  const measuring = oneOf(random, measuringOf[kind])
  const duty = dutyOf(random, kind, surroundings.workingHours)
  const careful = kind === 'grinder' || measuring.endsWith('scale')
  const frictionRise = careful ? random.between(0.1, 0.6) : random.between(0.3, 2)
  const making: Making = {
    random,
    ...stated,
    placement: oneOf(random, [0.15, 0.2, 0.25]),
    frictionRise,
    motion: duty.motion,
  }
  const frame = makeFrame(making, kind, id, measuring === 'pretensioned')
  const axes = frame.axes.map(axis => {
    // Z of a pretensioned or cooled mill is a plain screw
    const plain = axis.id !== 'X' && (measuring === 'core-cooled' || (measuring === 'pretensioned' && axis.id === 'Z'))
    return makeAxis(making, plain && kind === 'mill' ? 'one end fixed' : measuring, {
      machine: id,
      ...axis,
      bed: frame.bed,
    })
  })
  const bathed = kind === 'grinder' && chance(random, 0.7)
  const coolant = bathed || measuring === 'core-cooled' ? coolantOf(random) : undefined
  const influences = influencesOf(random, surroundings, zone)
  const partUncertainty = oneOf(random, [0.2, 0.3, 0.4])
  const partTime = (bathed ? oneOf(random, [5, 8]) : oneOf(random, [20, 30, 40])) * 60
  const follows = bathed ? 'coolant' : 'air'
  const air: SensedNode = {
    id: 'air',
    text: { name: 'air at the machine', kind: 'air', placement: kelvinText(0.2) },
    measures: { kind: 'machine air', machine: id },
    placement: 0.2,
  }
  const bath: SensedNode = {
    id: 'coolant',
    text: { name: bathed ? 'grinding coolant' : 'screw coolant', kind: 'coolant', placement: kelvinText(0.2) },
    measures: { kind: 'coolant', machine: id },
    placement: 0.15,
  }
  const nodes = [air, ...(coolant ? [bath] : []), ...axes.flatMap(({ node }) => (node ? [node] : [])), ...frame.nodes]
  const carries = (id: string) => axes.some(({ text }) => text.screw?.['bearing on'] === id)
  const predicted = Object.entries(frame.unsensed).filter(([id]) => carries(id))
  const name = `${kind[0]!.toUpperCase()}${kind.slice(1).replace(/-/g, ' ')} ${id.split('-').at(-1)}`
  return {
    plant: {
      id,
      zone,
      influences,
      mixing: random.between(150, 300),
      eddies: { spread: zone === 'fine-room' ? random.between(0.03, 0.06) : random.between(0.05, 0.15), memory: 200 },
      bodies: [...frame.bodies, ...axes.flatMap(({ bodies }) => bodies)],
      axes: axes.map(({ plant }) => plant),
      structure: frame.structure,
      ...(coolant && { coolant }),
      spindle: {
        body: frame.spindle.body,
        heat: (frame.spindle.toAir * (careful ? random.between(0.3, 1) : random.between(0.6, 3))) / duty.spindle,
      },
      waste: { standby: random.between(150, 500), duty: random.between(1500, 5000) },
      part: {
        follows,
        // how fast a part soaks is known to about a third
        lag: aroundFactor(random, partTime, 0.33),
        workRise: Math.abs(random.bounded(2)) * 0.5 * partUncertainty,
      },
      duty,
    },
    text: {
      name,
      description: `${kind}, ${inWords[measuring]} (invented)`,
      place: zone.replace('-', ' '),
      'exposed to': influences.map(({ source }) => source),
      nodes: Object.fromEntries([...nodes.map(node => [node.id, node.text] as const), ...predicted]),
      axes: Object.fromEntries(axes.map(({ plant, text }) => [plant.id, text])),
      structure: frame.texts,
      workpiece: { node: follows, uncertainty: kelvinText(partUncertainty), 'time constant': durationText(partTime) },
    },
    nodes,
  }
}
