import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { offsetInForce, stillLimits } from '../../../core/calibration/index.js'
import { nameOf } from '../../../core/names.js'
import { isThermometer, type Sensor, type Shop } from '../../../core/shop.js'
import { offsetChange, togetherWhere } from '../../../core/state.js'
import { isoTime } from '../../csv.js'
import type { Span } from '../../history/index.js'
import { checkTogether } from '../../studies/calibration/common-temperature.js'
import { known, knownSensors } from '../known.js'
import type { AppParts } from '../parts.js'
import { askedBeside } from '../plugins/costly.js'
import { Refused, refusing } from '../refused.js'
import { checkAnswer, offsetRecord } from '../schemas/calibration.js'
import { signed } from '../schemas/measured.js'
import { day, hour, spanOf, spanQuery } from '../span.js'
import { fields, formatQuery, jsonOrCsv, sendTable } from '../table-out.js'
import { placeInWords } from './sensors.js'

const mostSensors = 500
const shortest = hour / 2
const longest = 7 * day
/** K; what is accepted may differ so much from what was seen */
const sameOffset = 0.0005

const together = z
  .string('name the sensors that are together')
  .describe(`ids of 3 to ${mostSensors} sensors, with commas between; "all" for every sensor of temperature`)

const acceptance = z.strictObject({
  ...signed,
  sensors: together,
  where: togetherWhere.describe('they were together; as mounted: in their places, on one machine'),
  from: z.number().int().describe('ms since 1970 UTC'),
  to: z.number().int().describe('ms since 1970 UTC'),
  accept: z
    .array(z.strictObject({ sensor: z.string(), offset: z.number().describe('K; as it was proposed') }))
    .min(1, 'name at least one correction')
    .describe('the corrections that were seen and are accepted'),
})

const sensorsAsked = (shop: Shop, asked: string): Sensor[] => {
  const thermometers = shop.sensors.filter(isThermometer)
  if (asked.trim() === 'all') return thermometers
  const ids = [...new Set(asked.split(',').map(id => id.trim()))].filter(id => id !== '')
  const sensors = knownSensors({ shop }, ids)
  const contact = sensors.find(s => s.unit === 'state')
  if (!contact && sensors.length >= 3 && sensors.length <= mostSensors) return sensors
  throw new Refused(
    400,
    contact ? `${contact.id} tells a state, not a temperature.` : `${sensors.length} sensors were named.`,
    '"sensors"',
    `Name 3 to ${mostSensors} sensors of temperature that are at one temperature together.`,
  )
}

/** Sensors in their places on different machines, or beside one, were never at one temperature by more than chance. */
const placesApart = (shop: Shop, sensors: readonly Sensor[]): string[] => {
  const places = sensors.map(({ at }) =>
    at.kind === 'node'
      ? nameOf(shop.machines, at.machine)
      : at.kind === 'source'
        ? `the place of ${at.source}`
        : at.kind,
  )
  return [...new Set(places)]
}

const periodAsked = (span: Span): Span => {
  const length = span.to - span.from
  if (length >= shortest && length <= longest) return span
  throw new Refused(
    400,
    `The period is ${Math.round(length / 60_000)} min long.`,
    '"from" and "to"',
    'Give 30 min at least and 7 days at most; two hours or a night do well.',
  )
}

const answerOf = (
  shop: Shop,
  sensors: readonly Sensor[],
  span: Span,
  found: Awaited<ReturnType<typeof checkTogether>>,
) => ({
  ...span,
  drift: found.drift,
  swing: found.swing,
  still: found.still,
  limits: stillLimits,
  sensors: sensors.map((sensor, i) => {
    const { offset, standardUncertainty, significant, step, stepAssumed } = found.sensors[i]!
    const known = !Number.isNaN(offset)
    return {
      sensor: sensor.id,
      name: sensor.name,
      place: placeInWords(sensor, shop),
      offset: sensor.offset,
      difference: known ? offset : null,
      standardUncertainty: known ? standardUncertainty : null,
      step,
      stepAssumed,
      significant,
      proposed: significant ? sensor.offset - offset : null,
    }
  }),
  stillMounted: found.stillMounted.map(({ sensor, beside, moved, correlation }) => ({
    sensor: sensor.id,
    name: sensor.name,
    beside: beside.name,
    moved,
    correlation,
  })),
})

export const calibrationRoutes: FastifyPluginAsyncZod<AppParts> = async (app, parts) => {
  const { shop, store, clock, actions } = parts

  const check = async (asked: string, span: Span) => {
    const sensors = sensorsAsked(shop, asked)
    const period = periodAsked(span)
    const notComparable = ({ message }: RangeError) =>
      new Refused(
        400,
        `These sensors cannot be compared: ${message}.`,
        'query "sensors", "from" and "to"',
        'Choose three sensors at least that reported all the time, or another period.',
      )
    const found = await checkTogether(store, shop, sensors, period).catch(refusing(RangeError, notComparable))
    return answerOf(shop, sensors, period, found)
  }

  app.get('/api/calibration/check', {
    config: { costs: 'computation' },
    schema: {
      summary: 'Common-temperature check: each sensor against the median of all, over a period they spent together',
      querystring: z.object({ sensors: together, ...spanQuery, ...formatQuery }),
      response: { 200: jsonOrCsv(checkAnswer) },
    },
    handler: async (request, reply) => {
      const answer = await check(request.query.sensors, spanOf(request.query, clock(), 2 * hour))
      if (request.query.format === 'json') return answer
      return sendTable(reply, answer.sensors, {
        ...fields('sensor', 'name', 'place'),
        offsetKelvin: s => s.offset,
        differenceKelvin: s => s.difference,
        standardUncertaintyKelvin: s => s.standardUncertainty,
        significant: s => (s.significant ? 'yes' : 'no'),
        proposedKelvin: s => s.proposed,
      })
    },
  })

  app.get('/api/calibration/offsets', {
    schema: {
      summary: 'Every offset that was accepted or taken back, old and new, newest first',
      querystring: z.object(formatQuery),
      response: { 200: jsonOrCsv(offsetRecord) },
    },
    handler: async (request, reply) => {
      const all = (await store.facts.of('offset')).reverse()
      const names = new Map(shop.sensors.map(({ id, name }) => [id, name]))
      const changes = all.map(change => ({
        ...change,
        name: names.get(change.sensor) ?? change.sensor,
        inForce: offsetInForce(all.filter(c => c.sensor === change.sensor))?.id === change.id,
      }))
      if (request.query.format === 'json') return { changes }
      return sendTable(reply, changes, {
        id: c => c.id,
        timeUtc: c => isoTime(c.at),
        ...fields('sensor', 'name'),
        oldOffsetKelvin: c => c.oldOffset,
        newOffsetKelvin: c => c.newOffset,
        differenceKelvin: c => c.found?.difference,
        standardUncertaintyKelvin: c => c.found?.standardUncertainty,
        fromUtc: c => isoTime(c.found?.from),
        toUtc: c => isoTime(c.found?.to),
        ...fields('takesBack', 'by', 'note'),
        where: c => c.found?.where,
      })
    },
  })

  app.post('/api/calibration/offsets', {
    bodyLimit: 256 * 1024,
    schema: {
      summary: 'Accepts corrections that a common-temperature check proposes; in force at once',
      body: acceptance,
      response: { 201: z.object({ changes: z.array(offsetChange) }) },
    },
    handler: async (request, reply) => {
      const { by, note, sensors, where, from, to, accept } = request.body
      const apart = where === 'as mounted' ? placesApart(shop, sensorsAsked(shop, sensors)) : []
      if (apart.length > 1)
        throw new Refused(
          409,
          `As mounted they cannot have been at one temperature: the shop file has them at ${apart.slice(0, 4).join(', ')}${apart.length > 4 ? ` and ${apart.length - 4} more places` : ''}.`,
          'body "sensors" and "where"',
          'Put them into one box or bath, or side by side, for two hours, and check again; or choose those of one machine.',
        )
      const query = new URLSearchParams({ sensors, from: String(from), to: String(to) })
      const found = await askedBeside(parts, `/api/calibration/check?${query}`, () =>
        check(sensors, spanOf({ from, to }, clock(), hour)),
      )
      if (!found.still)
        throw new Refused(
          409,
          'The temperature was not still enough in that period: the differences may be lag, not error.',
          'body "from" and "to"',
          'Choose a period in which it changed less.',
        )
      const [mounted] = where === 'as mounted' ? [] : found.stillMounted
      if (mounted) {
        const more = found.stillMounted.length - 1
        throw new Refused(
          409,
          `${mounted.name} was not with the others: it moved like ${mounted.beside} on its own machine${more > 0 ? `, and ${more} more did the like` : ''}. It was still mounted.`,
          'body "sensors" and "where"',
          'Take it out of the comparison, for it moves the median too; or take it off its machine, put it with the others for two hours, and check again.',
        )
      }
      const compared = found.sensors.filter(s => s.difference !== null).length
      const changes = accept.map(({ sensor: id, offset }) => {
        const seen = found.sensors.find(s => s.sensor === id)
        if (seen?.proposed == null || Math.abs(seen.proposed - offset) > sameOffset)
          throw new Refused(
            409,
            `For ${id.slice(0, 80)} this is not the offset that the readings now propose.`,
            'body "accept"',
            'Look at the check again, then accept: something was changed meanwhile.',
          )
        return {
          sensor: id,
          by,
          note,
          oldOffset: seen.offset,
          newOffset: seen.proposed,
          found: {
            from,
            to,
            difference: seen.difference ?? 0,
            standardUncertainty: seen.standardUncertainty ?? 0,
            sensors: compared,
            where,
          },
        }
      })
      if (new Set(changes.map(c => c.sensor)).size < changes.length)
        throw new Refused(400, 'A sensor is named twice.', 'body "accept"', 'Name each sensor once.')
      const added = await actions.changeOffsets(changes)
      request.log.info({ by, count: added.length }, 'offsets of sensors were accepted')
      return reply.code(201).send({ changes: added })
    },
  })

  app.post('/api/calibration/offsets/:change/take-back', {
    schema: {
      summary: 'An accepted offset no longer holds: the one before it does; both stay on record',
      params: z.object({ change: z.coerce.number().int() }),
      body: z.strictObject(signed),
      response: { 201: offsetChange },
    },
    handler: async (request, reply) => {
      const { change: id } = request.params
      const all = await store.facts.of('offset')
      const wrong = known('change of an offset', all, id, 'the address, after /offsets/')
      const own = all.filter(c => c.sensor === wrong.sensor)
      if (offsetInForce(own)?.id !== id)
        throw new Refused(409, 'This offset is not in force.', `change ${id}`, 'Take back the newest that holds.')
      const back = await actions.takeBackOffset(wrong, request.body)
      request.log.info({ by: back.by, sensor: wrong.sensor }, 'an offset of a sensor was taken back')
      return reply.code(201).send(back)
    },
  })
}
