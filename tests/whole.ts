/** Does work of many steps to its end, at once. */
export const whole = <T>(steps: Generator<void, T>): T => {
  for (;;) {
    const step = steps.next()
    if (step.done) return step.value
  }
}
