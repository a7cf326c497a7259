/** @returns what runs each piece of work when the one before it is done, whatever came of that */
export const oneAtATime = (): (<T>(work: () => Promise<T>) => Promise<T>) => {
  let last: Promise<unknown> = Promise.resolve()
  return work => {
    const done = last.then(work, work)
    last = done.catch(() => undefined)
    return done
  }
}
