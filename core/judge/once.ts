/** What is computed when it is first asked for, and then kept. */
export const once = <T>(compute: () => T): (() => T) => {
  let value: T | undefined
  return () => (value ??= compute())
}
