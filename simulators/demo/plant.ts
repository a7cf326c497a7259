import type { Plant } from '../plant.js'
import { demoBuilding } from './building.js'
import { fineRoomMachines } from './fine-room.js'
import { hallMachines } from './hall.js'
import { demoSensors } from './sensors.js'

const machines = [...hallMachines, ...fineRoomMachines].sort((a, b) => a.id.localeCompare(b.id))

/**
 * The demo shop as it really is. `demo-shop.yaml` says what its people believe: expansion coefficients here differ from
 * theirs by 2 to 4 %, time constants by up to a quarter, and no body has just one.
 */
export const demoPlant: Plant = {
  name: 'Demo shop (invented)',
  timeZone: 'Europe/Vienna',
  ...demoBuilding,
  machines,
  sensors: demoSensors(machines),
  partAlpha: { 'aluminium 6061': 23.25e-6, steel: 11.75e-6 },
  roles: { door: 'dock-door', compressor: 'compressor', warmUp: 'mill-5', breaking: 'grinder-2-z-scale' },
}
