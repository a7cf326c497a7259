import { z } from 'zod'

// Quantities as they stand in facts and answers; each schema says its unit.

export const time = z.number().describe('ms since 1970 UTC')
export const seconds = z.number().describe('s')
export const celsius = z.number().describe('°C')
export const kelvin = z.number().describe('K')
export const metres = z.number().describe('m')

export const formerly = z
  .array(z.string())
  .optional()
  .describe('ids it had before: what is stored under them is its history')
