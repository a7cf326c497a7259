import { parseDuration, parseExpansion, parseLength, parseTemperature, parseUncertain } from '../../core/units.js'
import { createDecoder } from '../../server/ingest/decoder.js'
import { readTime } from '../../server/ingest/time.js'
import { topicPattern } from '../../server/ingest/topic-pattern.js'
import { readUnit, readValue } from '../../server/ingest/value.js'
import { sensorLookup } from '../../server/recording/sensor-names.js'
import { parseShop } from '../../server/shop/parse.js'
import { longestLine, readingRows, readLength, timeReader } from '../../server/table/index.js'
import { sensor, withoutTopic } from '../server/ingest/sensors.js'
import { recorded } from '../server/recording/recorded.js'
import { whole } from '../whole.js'

// Gives every reader of outside text long texts, and says which it has been through: CHARACTERS. A reader whose work grows
// with the square of the length does not get there in any time.

const length = Number(process.argv[2])
const full = (text: string) => text.repeat(Math.ceil(length / text.length)).slice(0, length)

/** what an expression may try again from every place: a run, and then something that does not fit */
const hostile: Record<string, string> = {
  digits: `${full('1')}!`,
  'digits and exponents': `${full('1')}e${full('1')}!`,
  points: `1${full('.')}1!`,
  commas: `1${full(',')}1!`,
  'digits and points': `${full('1.')}°C°`,
  'fraction of digits': `1/${full('2')}\n!`,
  blanks: `a${full(' ')}a!`,
  'blanks behind a number': `1${full(' ')}\n1!`,
  brackets: `value${full(')')}!`,
  'brackets open': `value ${full('(')}!`,
  'brackets and blanks': `value ${full(') ')}!`,
  'plus and blanks': `1 mm +${full(' ')}!`,
  letters: `${full('a1 ')}!`,
  time: `2026-01-14 08:30:00.${full('1')}!`,
  'date and blanks': `2026-01-14${full(' ')}!`,
  slashes: `${full('/')}!`,
  braces: `${full('{')}!`,
  dashes: `${full('-_')}!`,
  marks: `"${full('""')}`,
}

const shopText = (text: string) =>
  JSON.stringify({ shop: { name: text, 'time zone': text }, 'work classes': { [text]: text } })

const sensors = [sensor('bare', { payload: { kind: 'number' } }), withoutTopic('x')]
const decode = createDecoder(sensors, [
  { pattern: 'plant/{sensor}/t', sensor: '{sensor}', payload: { kind: 'number' } },
  { pattern: 'a{sensor}b/{other}', sensor: '{sensor}', payload: { kind: 'json', value: 'v', time: 't' } },
])
const delivery = { retained: false, receivedAt: Date.UTC(2026, 0, 14) }
const pattern = topicPattern('a{sensor}b/{other}c/d')
const timeOf = timeReader({ zone: 'Europe/Vienna', scale: null })
const readers: Record<string, (text: string) => unknown> = {
  'a value': text => [readValue(text, '°C'), readValue(text, 'state'), readUnit(text)],
  'a time': text => [readTime(text), readTime(text, 'Europe/Vienna')],
  'a payload': text => decode('shop/bare', Buffer.from(text.slice(0, 65_536)), delivery),
  'a topic': text => [decode(`plant/${text}/t`, Buffer.from('20'), delivery), pattern.match(`a${text}b/${text}`)],
  'a quantity': text => [parseLength, parseTemperature, parseDuration, parseExpansion].map(read => read(text)),
  'an uncertain quantity': text => parseUncertain(`1 mm ± ${text}`, parseLength),
  'a length in a cell': text => readLength(text, 'µm'),
  'a time in a cell': text => timeOf(text, null),
  'headings of a table': text => whole(readingRows(`${text},time\n1,2`, ['time', 'value'], ['time'])),
  'cells of a table': text => whole(readingRows(`time,value\n${text},2`, ['time', 'value'], ['time'])),
  'headings of a recording': text => recorded(`time,${text.slice(0, longestLine - 10)}\n2026-01-14T08:30Z,1\n`),
  'cells of a recording': text =>
    recorded(`time,sensor,value\n${text.slice(0, longestLine / 3)},s-air,${text.slice(0, longestLine / 3)}\n`),
  'a shop file': text => parseShop(shopText(text), 'shop.yaml'),
  'a name': text => sensorLookup(sensors)(text),
}

for (const [reader, read] of Object.entries(readers))
  for (const [kind, text] of Object.entries(hostile)) {
    process.stdout.write(`${reader} of ${kind}: `)
    await read(text)
    process.stdout.write('read\n')
  }
process.stdout.write('all\n')
