/**
 * A fixed stretch of time, as an address has it.
 *
 * @param asked with `from` and `to` as ISO 8601 with zone
 * @returns ms; null where they are no stretch
 */
export const readFromTo = (asked: Pick<URLSearchParams, 'get'>): { from: number; to: number } | null => {
  const [from, to] = [Date.parse(asked.get('from') ?? ''), Date.parse(asked.get('to') ?? '')]
  return from < to ? { from, to } : null
}
