import { formatDifference, formatDuration, formatTemperature } from '../format.js'
import type { SensorFault } from '../reason.js'
import { at, type Reader, type Sentence } from './reader.js'

const look = 'Look whether it still touches the machine; fix it again with paste under it and foam over it.'
const silentRemedy =
  'Check its power, network and gateway; until it reports, a stand-in covers or the verdict is unknown.'

const places = {
  body: 'a machine part',
  air: 'the air',
  coolant: 'the coolant',
  source: 'this place',
  outdoors: 'outdoors',
} as const

/**
 * Why a sensor is not believed, and what to do about it.
 *
 * @returns `text` as what is said of a sensor: without a capital, so that it can follow a name
 */
export const saySensorFault = (fault: SensorFault, reader: Reader): Sentence => {
  const { system } = reader
  const kelvin = (value: number) => formatDifference(Math.abs(value), system, 'plain')
  switch (fault.kind) {
    case 'never reported':
      return {
        text: 'no reading yet',
        more: 'Check that it is switched on and that its topic is the one in the shop file.',
      }
    case 'silent':
      return fault.seldom
        ? {
            text: `reports only every ${formatDuration(fault.seldom)}; expected every ${formatDuration(fault.interval)}`,
            more: 'Where it is meant to, set its interval in the shop file to that; otherwise look at its battery, signal and gateway.',
          }
        : { text: `silent; expected every ${formatDuration(fault.interval)}`, more: silentRemedy }
    case 'gone':
      return { text: fault.why, more: silentRemedy }
    case 'fault code':
      return fault.code === 'disconnected'
        ? {
            text: `sends ${formatTemperature(-127, system, 0)}, its code for a broken connection`,
            more: 'Check its plug and cable; replace the sensor if it stays so.',
          }
        : {
            text: `sends ${formatTemperature(85, system, 0)}, its power-on value: it restarted before measuring`,
            more: 'Check its supply and connections: it restarts again and again.',
          }
    case 'out of range': {
      const range = `${formatTemperature(fault.lowest, system, 0)} to ${formatTemperature(fault.highest, system, 0)}`
      return {
        text: `${formatTemperature(fault.value, system)} is not plausible for ${places[fault.place]} (${range})`,
        more: 'Check the unit and payload in the shop file, then the sensor and its cable.',
      }
    }
    case 'spikes':
      return {
        text: `${fault.count} or more isolated spikes within ${formatDuration(fault.within)}`,
        more: 'Look for a loose contact or a cable beside a drive; replace the sensor if it goes on.',
      }
    case 'noisy':
      return {
        text: `jumps about by ${kelvin(fault.by)} from reading to reading, far more than it ever did`,
        more: 'Look for a loose contact or a cable beside a drive; replace the sensor if it goes on.',
      }
    case 'stepped to the air':
      return {
        text: `moved ${kelvin(fault.moved)} to the air's temperature within ${formatDuration(fault.within)}, faster than the machine can`,
        more: look,
      }
    case 'follows the air':
      return { text: 'follows every movement of the air, as if it had fallen off', more: look }
    case 'frozen':
      return {
        text: `the same value for ${formatDuration(fault.for)} while its neighbours moved by ${kelvin(fault.moved)}`,
        more: 'Restart the sensor or its gateway: it repeats an old value.',
      }
    case 'at odds':
      return {
        text: `wandered by ${kelvin(fault.wandered)} in ${formatDuration(fault.within)} while all beside it was still`,
        more: 'Compare it with a reference thermometer at the same place; calibrate or replace it.',
      }
    case 'strayed': {
      const off = `${kelvin(fault.off)} ${fault.off > 0 ? 'higher' : 'lower'}`
      return {
        text: fault.isSlow
          ? `has come to read ${off} than it usually does beside the rest of its machine, more from day to day`
          : `reads ${off} than it usually does, further off than it has ever been`,
        more: 'Look whether it still sits where it did, and compare it with a reference thermometer; calibrate or replace it.',
      }
    }
    case 'clock':
      return {
        text: `its clock is ${formatDuration(Math.abs(fault.behind))} ${fault.behind < 0 ? 'ahead' : 'behind'}, or its readings are held up on the way`,
        more: 'Set the clock of the sensor or its gateway (NTP), or leave the time out of the payload.',
      }
    case 'earning': {
      const { goodSince, until } = fault
      return {
        text:
          goodSince === null || until === null
            ? 'reporting again, but not yet steadily'
            : `reporting again since ${at(goodSince, reader)}; believed again at ${at(until, reader)} if it stays so`,
        more: 'Nothing, if its readings look right; it must first show that it is well again.',
      }
    }
    case 'told':
      return { text: fault.reason, more: fault.remedy }
  }
}
