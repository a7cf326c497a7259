import type { PayloadForm, TopicMapping } from '../../core/shop.js'
import { namePart } from '../ingest/mapping.js'
import { partNames } from '../ingest/topic-pattern.js'
import type { Outline } from './outline.js'
import { payload } from './payload.js'
import { text } from './readers.js'
import { inWords, keysIn, picked, type Reader, section, suggestion, value } from './section.js'

const example = 'plant/{sensor}/temperature'
/** the part that is the sensor's name, when nothing else is said */
const usual = 'sensor'
const partSpelling = /^[A-Za-z][\w -]*$/

const pattern: Reader<string> = raw => {
  const parsed = text(example)(raw)
  if ('problem' in parsed) return parsed
  const written = parsed.value
  const wrong = (problem: string, remedy: string) => ({ problem: `${inWords(raw)} ${problem}`, remedy })
  if (/[+#]/.test(written))
    return wrong('has a wildcard (+ or #)', `give each part that differs a name in braces instead: ${example}`)
  const levels = written.split('/')
  if (levels.some(level => partNames(level).length > 1))
    return wrong('has two parts between two /', 'write at most one part in braces from one / to the next')
  if (/[{}]/.test(written.replace(/\{[^{}]*\}/g, '')))
    return wrong('has a brace too many or too few', `write each part as a name in braces: ${example}`)
  const parts = partNames(written)
  const odd = parts.find(part => !partSpelling.test(part))
  if (odd !== undefined)
    return wrong(`has a part "{${odd}}" that is no name`, 'write a letter, then letters and digits')
  if (parts.includes(namePart))
    return wrong(`calls a part "{${namePart}}"`, `choose another word: {${namePart}} is the name in the message`)
  if (new Set(parts).size < parts.length) return wrong('has two parts of one name', 'give each part a name of its own')
  if (written.includes('\0') || Buffer.byteLength(written) > 65_535)
    return wrong('cannot be an MQTT topic', 'write at most 65535 bytes and no NUL character')
  return parsed
}

const named = (form: unknown): boolean => keysIn(form).name !== undefined

/** how the name of the sensor is made, with the parts there are to make it of */
const nameMaking =
  (written: unknown, form: unknown): Reader<string> =>
  raw => {
    // nothing can be said before the pattern can be read
    if ('problem' in pattern(written)) return { value: '' }
    const parts = [...(typeof written === 'string' ? partNames(written) : []), ...(named(form) ? [namePart] : [])]
    if (raw === undefined) {
      if (parts.includes(namePart) && !parts.includes(usual)) return { value: `{${namePart}}` }
      if (parts.includes(usual) && !parts.includes(namePart)) return { value: `{${usual}}` }
      return {
        problem: 'it is not clear what names the sensor',
        remedy: parts.length
          ? `write how its name on the broker is made, for example sensor: '${parts.map(part => `{${part}}`).join('-')}'`
          : `give a part of the pattern a name (${example}), or write in payload where the message has one: name: id`,
      }
    }
    const parsed = text(`'{${usual}}'`)(raw)
    if ('problem' in parsed) return parsed
    const used = partNames(parsed.value)
    const unknown = used.find(part => !parts.includes(part))
    if (unknown !== undefined)
      return { problem: `there is no part {${unknown}}`, remedy: suggestion(unknown, parts, 'the parts are') }
    if (used.length > 0) return parsed
    return { problem: `${inWords(raw)} would be the same name for every message`, remedy: "use a part: '{sensor}'" }
  }

/** One entry of `topics`: what holds for the messages of many sensors. */
export const topicMapping = ({ sensorDefaults }: Outline) =>
  picked<TopicMapping>(raw => {
    const written = keysIn(raw)
    const usualPayload = payload.safeParse(sensorDefaults.payload)
    const otherwise: PayloadForm = usualPayload.success ? usualPayload.data : { kind: 'number' }
    return section({
      pattern: value(pattern),
      sensor: value(nameMaking(written.pattern, written.payload ?? sensorDefaults.payload)),
      payload: payload.optional(),
    }).transform(({ payload = otherwise, ...own }) => ({ ...own, payload }))
  })
