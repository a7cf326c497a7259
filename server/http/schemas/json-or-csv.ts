import { z } from 'zod'

/** the answer of a table: JSON, or the same as CSV with ?format=csv */
export const jsonOrCsv = <Schema extends z.ZodType>(schema: Schema) => ({
  description: 'the table',
  content: {
    'application/json': { schema },
    'text/csv': { schema: z.string().describe('RFC 4180, the unit in the name of the column') },
  },
})
