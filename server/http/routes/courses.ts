import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { joinByInterval } from '../../join-by-interval.js'
import type { AppParts } from '../parts.js'
import { refusals } from '../schemas/refusal.js'
import { day } from '../span.js'

/** ms; each value is a mean over so much time */
const width = day / 48
/** hundredths of a kelvin are finer than such a small picture shows */
const rounded = (value: number) => Math.round(value * 100) / 100

const answer = z.object({
  from: z.number().describe('ms since 1970 UTC; where the first value begins'),
  width: z.number().describe('ms; each value is a mean over so much time'),
  courses: z.array(
    z.object({
      sensor: z.string(),
      values: z
        .array(z.number().nullable())
        .describe('°C, offset applied, to 0.01; of a state sensor the part of the readings that say open'),
    }),
  ),
})

export const coursesRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { shop, store, clock }) => {
  app.get(
    '/api/sensors/courses',
    {
      schema: {
        summary: 'The last 24 hours of every sensor in half hours, for small pictures of all at once',
        response: { 200: answer, ...refusals },
      },
    },
    async () => {
      const to = clock()
      const from = Math.floor((to - day) / width) * width
      const courses = shop.sensors.map(sensor => {
        const values: (number | null)[] = Array.from({ length: Math.ceil((to - from) / width) }, () => null)
        const offset = sensor.unit === 'state' ? 0 : sensor.offset
        for (const { at, mean } of joinByInterval(store.series(sensor.id, from, to, 48).points, width)) {
          const index = Math.round((at - from) / width)
          if (index >= 0 && index < values.length) values[index] = rounded(mean + offset)
        }
        return { sensor: sensor.id, values }
      })
      return { from, width, courses }
    },
  )
}
