/** One value of the outside world and what the project computes for it. */
export interface Check {
  item: string
  /** a published source, or "common practice, no source", or "from memory" */
  source: string
  unit: string
  published: number
  computed: number
  /** allowed difference, in the unit */
  allowed: number
}

export const holds = ({ published, computed, allowed }: Check): boolean => Math.abs(computed - published) <= allowed
