const ends: (() => unknown)[] = []

/** Ends what was begun for all tests of a file once that is over: the files after it run in the same process. */
export const whenFileEnds = (end: () => unknown): void => {
  ends.push(end)
}

/** Ends it all, the newest first. */
export const endFile = async (): Promise<void> => {
  for (const end of ends.splice(0).reverse()) await end()
}
