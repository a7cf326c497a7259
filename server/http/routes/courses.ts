import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod'
import { isThermometer, type Sensor } from '../../../core/shop.js'
import { joinByInterval } from '../../join-by-interval.js'
import type { AppParts } from '../parts.js'
import { coursesAnswer } from '../schemas/answers.js'
import { day } from '../span.js'

/** ms; each value is a mean over so much time */
const width = day / 48
/** hundredths of a kelvin are finer than such a small picture shows */
const rounded = (value: number) => Math.round(value * 100) / 100

export const coursesRoutes: FastifyPluginAsyncZod<AppParts> = async (app, { shop, store, clock }) => {
  app.get('/api/sensors/courses', {
    config: { costs: 'computation' },
    schema: {
      summary: 'The last 24 hours of every sensor in half hours, for small pictures of all at once',
      response: { 200: coursesAnswer },
    },
    handler: async () => {
      const to = clock()
      const from = Math.floor((to - day) / width) * width
      const courseOf = async (sensor: Sensor) => {
        const values: (number | null)[] = Array.from({ length: Math.ceil((to - from) / width) }, () => null)
        const offset = isThermometer(sensor) ? sensor.offset : 0
        const { points } = await store.series(sensor.id, from, to, 48)
        for (const { at, mean } of joinByInterval(points, width)) {
          const index = Math.round((at - from) / width)
          if (index >= 0 && index < values.length) values[index] = rounded(mean + offset)
        }
        return { sensor: sensor.id, values }
      }
      return { from, width, courses: await Promise.all(shop.sensors.map(courseOf)) }
    },
  })
}
