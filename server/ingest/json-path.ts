/** the path of the whole */
const whole = '.'
const index = /^(?:0|[1-9]\d*)$/

const step = (found: object, key: string): unknown => {
  // own keys only, so that "constructor" is not found in every object
  if (!Array.isArray(found)) return Object.hasOwn(found, key) ? (found as Record<string, unknown>)[key] : undefined
  if (key === 'last') return found.at(-1)
  return index.test(key) ? found[Number(key)] : undefined
}

/**
 * What stands at a path in a JSON value.
 *
 * @param path keys joined by dots; in a list, a place counted from 0, or `last`; `.` is the value itself
 * @returns `undefined` when nothing stands there
 */
export const at = (value: unknown, path: string): unknown => {
  if (path === whole) return value
  let found = value
  for (const key of path.split('.')) {
    if (typeof found !== 'object' || found === null) return undefined
    found = step(found, key)
  }
  return found
}
