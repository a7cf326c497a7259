import { z } from 'zod'
import { time } from '../quantities.js'

const factors = z.array(z.number())
const influence = z.object({
  of: z.string().describe('id of a source, `week`, or a place'),
  kind: z.enum(['source', 'outdoors', 'week', 'place']).describe('`outdoors` in models from before there were halls'),
  lags: z
    .array(z.number())
    .describe('s; first-order time constants with which it arrives; of the week, hours of the day'),
  factors: factors.describe('K at the place for 1 K, or 1, of what pulls; one for each lag'),
  drawn: z.array(factors).describe('the same, of each drawing of the block bootstrap'),
})
export type Influence = z.infer<typeof influence>

const placeModel = z.object({
  place: z.string().describe('a sensor in the shop’s air, or machine/node'),
  influences: z.array(influence),
  constant: z.number().describe('°C'),
  memory: z.number().describe('0..1; what is left of a deviation after one interval'),
  explained: z.number().describe('0..1; how much of its variance the model explains, without using that memory'),
  days: z.number().describe('of history in which it is known'),
})
/** How one place in the air or in a coolant responds. */
export type PlaceModel = z.infer<typeof placeModel>

const hallModel = z.object({
  place: z.string().describe('a sensor in the shop’s air, or machine/node where the shop has none'),
  sources: z.array(z.string()).describe('ids of the sources that are looked for in it'),
  neighbours: z.array(z.string()).describe('places that it exchanges air with'),
  weekdays: z.array(z.boolean()).describe('Monday first; whether its heating keeps hours of work on that day'),
  values: factors.describe('of its terms, see `hallTerms`; then K/h for 1 K of each source, and 1/h to each neighbour'),
  drawn: z.array(factors).describe('the same, of each drawing of the block bootstrap'),
  memory: z.number().describe('0..1; what is left of a deviation after half an hour'),
  explained: z
    .number()
    .describe('0..1; how much of its variance a run explains that is given nothing of it but its beginning'),
  days: z.number().describe('of history in which it is known'),
})
/** How one place in the shop's air responds, its heating and cooling included. */
export type HallModel = z.infer<typeof hallModel>

export const shopModel = z.object({
  shop: z.string().describe('name of the shop'),
  at: time.describe('ms since 1970 UTC; when it was learned'),
  from: time.describe('ms since 1970 UTC; the history it was learned from'),
  to: time,
  spacing: z.number().describe('s; of the means it was learned from'),
  rests: z.string().describe('the sensors it came from, so that a change of them is noticed'),
  halls: z.array(hallModel).default([]).describe('places of the air that sources, outdoors and heating act on'),
  places: z.array(placeModel).describe('the others, which follow those'),
  alike: z
    .array(z.object({ a: z.string(), b: z.string(), correlation: z.number() }))
    .describe(
      'pairs of sources (or a source and `week` or `outdoors`) whose pulls moved too much together to be told apart',
    ),
})
/** How the air and the coolants of a shop respond to what disturbs them: learned in the night, dated, never rewritten. */
export type ShopModel = z.infer<typeof shopModel>
