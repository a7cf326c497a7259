import { formatTemperature } from '../format.js'
import type { Leaves, Remedy } from '../remedy.js'
import { sayCause } from './causes.js'
import { at, capital, type Reader, type Sentence, size } from './reader.js'
import { sayMissing } from './reasons.js'

const leaving = ({ error }: Leaves, reader: Reader): string => `leaves ${size(error, reader)}`

/** "known to ±2.0 µm; heat may take 6.6 µm." */
const against = ({ uncertainty, granted }: Leaves, reader: Reader): string =>
  `known to ±${size(uncertainty, reader)}; heat may take ${size(granted, reader)}.`

/** What is done, as a request and as a thing. */
const does = (remedy: Exclude<Remedy, { kind: 'move' | 'sensor' }>, reader: Reader): [ask: string, thing: string] => {
  switch (remedy.kind) {
    case 'shut':
      return [`Shut the ${remedy.name}`, `shutting the ${remedy.name}`]
    case 'zero': {
      const zero = remedy.firstPart ? 'Measure a first part' : `Zero it${remedy.first ? '' : ' again'}`
      return [`${zero} and set the datum`, remedy.firstPart ? 'a datum with a first part' : 'a new zero']
    }
    case 'wait':
      return ['Wait', 'waiting']
    case 'soak':
      return ['Let the part soak', 'letting the part soak']
    case 'probe':
      return ['Probe again before the finishing cut', 'probing again before the finishing cut']
    case 'air': {
      const air = `air at ${formatTemperature(remedy.temperature, reader.system, 0)}`
      return [`Nothing less than ${air} at the machine`, `${air} at the machine`]
    }
    case 'surer':
      return ['', 'knowing better']
  }
}

/** what is done beside it */
const beside: Partial<Record<Remedy['kind'], string>> = {
  wait: 'If doors, vents and heat sources go on as usual.',
  soak: 'Or take one that has lain beside the machine for long.',
  shut: 'If all else stays as it is.',
  probe: 'Counted with the last quarter of the job after it. What the probe itself is off comes on top.',
  air: 'Counted as if the heating or cooling began now.',
}

/** The line that says what to do about a verdict: what it leaves, and never fit where that is not computed. */
export const sayRemedy = (remedy: Remedy, reader: Reader): Sentence => {
  if (remedy.kind === 'move')
    return { text: `Take it to ${remedy.name}, which is fit`, more: 'If the job can be done there.' }
  if (remedy.kind === 'sensor') {
    const { missing, others } = remedy
    const named = 'sensor' in missing.why ? `sensor ${missing.why.sensor}` : missing.name
    const more = others > 0 ? ` and ${others} more` : ''
    return {
      text: missing.why.kind === 'watched' ? `Wait until ${missing.name} has been watched` : `Check ${named}${more}`,
      more: sayMissing(missing, reader).more,
    }
  }
  const { leaves } = remedy
  const [ask, thing] = does(remedy, reader)
  const left = leaving(leaves, reader)
  const granted = against(leaves, reader)
  if (remedy.kind === 'surer') {
    const { text, more } = sayCause(remedy.cause, reader)
    return {
      text: `Nothing at the machine helps as much as knowing better: ${text}`,
      more: `${more} That ${left}, ${granted}`,
    }
  }
  const by = leaves.fitBy === null ? null : at(leaves.fitBy, reader)
  const mind = beside[remedy.kind] ?? ''
  if (by !== null && (remedy.kind === 'wait' || remedy.kind === 'soak'))
    return { text: `${ask} until ${by}`, more: [`${capital(left)}, ${granted}`, mind].join(' ') }
  const more = [capital(granted), mind].filter(Boolean).join(' ')
  if (by !== null) return { text: `${ask}: ${left}, fit by ${by}`, more }
  const when = leaves.at - reader.now > 60_000 ? ` at ${at(leaves.at, reader)}` : ''
  return { text: `${capital(thing)} helps most but is not enough: ${left}${when}`, more }
}
