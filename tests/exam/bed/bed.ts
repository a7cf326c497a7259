import type { Machine, Shop } from '../../../core/shop.js'
import { SensorBoard } from '../../../server/monitor/sensor-board.js'
import { randomStream } from '../../../simulators/random.js'
import { air as airNode, body as bodyNode, machineWith, screwAxis, sensorEveryMinute } from '../../core/machines.js'
import { createMill } from './mill.js'
import { type BedFault, bedFaults, createProbe, drawMake } from './probe.js'
import { createRooms } from './rooms.js'
import { type BedPlace, createBuilding } from './surroundings.js'

/** s */
const step = 60
/** ms; a Monday */
const monday = Date.UTC(2026, 0, 12)

export interface BedRecord {
  site: 'mill' | 'rooms'
  sensorMonths: number
  /** h from one becoming suspect to its being believed again; null when it never was. Silence is counted by nobody */
  falseSuspects: { sensor: string; kind: string; at: number; hours: number | null }[]
  fault: { kind: BedFault; sensor: string; foundAfter: number | null; by: string } | null
}

const machineOf = (places: readonly BedPlace[]): Machine => ({
  ...machineWith({ nodes: [], axes: places.filter(p => p.isScrew).map(({ id }, i) => screwAxis('XY'[i]!, id)) }),
  nodes: places.map(({ id, kind, timeConstant }) =>
    kind === 'body' ? bodyNode(id, timeConstant) : { ...airNode, id, name: id, kind },
  ),
})

/**
 * Lets one site live and its sensors report, and notes which of them the service does not believe.
 *
 * @param number draws site, sensors and weather
 * @param fault breaks one of the sensors that touch a body on day `brokenOn` (s into it at random)
 */
export const liveInBed = (
  site: 'mill' | 'rooms',
  number: number,
  days: number,
  fault: BedFault | null = null,
  brokenOn = 14,
): BedRecord => {
  const random = randomStream(number, `bed/${site}`)
  const building = createBuilding(random)
  let around = building.step(0, step)
  const { places, step: live } = site === 'mill' ? createMill(random, around.air) : createRooms(random, around.air)
  const make = drawMake(random, site)
  const airAround = places.find(({ kind }) => kind === 'air')!.at
  const all = [
    ...places.map(p => ({ id: p.id, at: p.at, isAir: p.kind !== 'body' })),
    { id: 'hall', at: () => around.air, isAir: true },
  ]
  const probes = all.map(({ at, isAir }) => createProbe(random, make, at, airAround, isAir))
  const shop: Pick<Shop, 'sensors' | 'machines'> = {
    machines: [machineOf(places)],
    sensors: all.map(({ id }) => ({
      ...sensorEveryMinute(id, id === 'hall' ? { kind: 'shop air' } : { kind: 'node', machine: 'mill', node: id }),
      interval: make.interval,
    })),
  }
  const board = new SensorBoard(shop)
  const bodies = all.flatMap(({ isAir }, i) => (isAir ? [] : [i]))
  const breaking = randomStream(number, `bed/${site}/${fault}`)
  const broken = bodies[Math.floor(breaking.uniform() * bodies.length)]!
  const breaksAt = fault ? (brokenOn + breaking.uniform()) * 86_400 : Number.POSITIVE_INFINITY
  const record: BedRecord = {
    site,
    sensorMonths: (all.length * Math.min(days, breaksAt / 86_400)) / 30,
    falseSuspects: [],
    fault: fault && { kind: fault, sensor: all[broken]!.id, foundAfter: null, by: '' },
  }
  const open = new Map<string, BedRecord['falseSuspects'][number]>()
  let silentUntil = new Float64Array(all.length)
  for (let t = step; t <= days * 86_400; t += step) {
    const now = monday + t * 1000
    around = building.step(t, step)
    live(t, step, around)
    if (fault && t - breaksAt >= 0 && t - breaksAt < step) {
      const other =
        bodies.find(i => i !== broken && i > 0 && breaking.uniform() < 0.5) ?? bodies.find(i => i !== broken)!
      probes[broken]!.break(fault, t, probes[other]!.touched)
      if (fault === 'swapped') probes[other]!.break(fault, t, probes[broken]!.touched)
    }
    if (random.uniform() < make.gaps / 1440) {
      const alone = random.uniform() < 0.5 ? Math.floor(random.uniform() * all.length) : -1
      const until = t + random.between(300, 4 * 3600) * random.uniform()
      silentUntil = silentUntil.map((before, i) => (alone < 0 || alone === i ? until : before))
    }
    for (const [i, probe] of probes.entries()) {
      const value = probe.step(t, step)
      if (value !== null && t >= silentUntil[i]!) board.take({ sensor: all[i]!.id, at: now, value, receivedAt: now })
    }
    board.advance(now)
    for (const { sensor, trust, fault: found, basis } of board.takeFound()) {
      if (t >= breaksAt) {
        const isBroken = sensor === record.fault?.sensor || fault === 'swapped'
        if (isBroken && record.fault!.foundAfter === null && trust === 'suspect' && basis?.kind !== 'earning') {
          record.fault!.foundAfter = (t - breaksAt) / 3600
          record.fault!.by = found!.kind
        }
        continue
      }
      const before = open.get(sensor)
      if (before && trust === 'ok') {
        before.hours = (now - before.at) / 3_600_000
        open.delete(sensor)
      }
      if (before || trust !== 'suspect' || basis?.kind === 'earning') continue
      const suspect = { sensor, kind: found!.kind, at: now, hours: null }
      open.set(sensor, suspect)
      record.falseSuspects.push(suspect)
    }
  }
  return record
}

/** days that a sensor which is broken is given to be found out */
const findWithin = 12

/** A machine and rooms that are healthy, and the machine once more with each kind of fault. */
export const examineBed = (number: number, days: number, onProgress?: (part: number) => void): BedRecord[] => {
  const kinds = [null, ...bedFaults]
  return [
    liveInBed('rooms', number, days),
    ...kinds.map((kind, i) => {
      onProgress?.((i + 1) / (kinds.length + 1))
      return liveInBed('mill', number, kind ? 15 + findWithin : days, kind)
    }),
  ]
}
