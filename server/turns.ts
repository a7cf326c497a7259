/** ms of work in one turn of the event loop */
const longest = 10

const waiting: (() => void)[] = []

const grant = (): void => {
  waiting.shift()!()
  if (waiting.length > 0) setImmediate(grant)
}

/**
 * Waits for a turn of the event loop that no other long work has. All that wait for `setImmediate` go on in one and the
 * same turn, so that ten pieces of work that give way by it hold the loop ten times as long as one.
 */
export const nextTurn = (): Promise<void> =>
  new Promise(resolve => {
    waiting.push(resolve)
    if (waiting.length === 1) setImmediate(grant)
  })

/** How long a piece of work has had its turn: whoever asks often enough, and gives way when it is over, holds up nobody. */
export class Turn {
  private since = performance.now()

  /** ten ms have passed */
  get isOver(): boolean {
    return performance.now() - this.since >= longest
  }

  /** gives way to others */
  async next(): Promise<void> {
    await nextTurn()
    this.since = performance.now()
  }
}

/**
 * Does a piece of work in turns of its own, as many steps in each as there is time for.
 *
 * @param steps each of some ms at most
 * @returns what they come to
 */
export const inTurns = async <T>(steps: Iterator<unknown, T>): Promise<T> => {
  const turn = new Turn()
  for (;;) {
    await turn.next()
    do {
      const step = steps.next()
      if (step.done) return step.value
    } while (!turn.isOver)
  }
}
