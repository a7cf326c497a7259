/** A program's clock that goes on from a moment, whatever the time of the test is. */
export interface OtherClock {
  /** ms; what the program takes for now */
  now(): number
  /** for its environment, and by that for its threads and the programs that it starts */
  environment: { NODE_OPTIONS: string }
}

/** @param moment ms; where its clock stands now */
export const atMoment = (moment: number): OtherClock => {
  const ahead = moment - Date.now()
  const shifted = `
    const Own = Date
    const now = Own.now.bind(Own)
    Own.now = () => now() + ${ahead}
    globalThis.Date = class Date extends Own {
      constructor(...given) {
        given.length > 0 ? super(...given) : super(Own.now())
      }
    }`
  return {
    now: () => Date.now() + ahead,
    environment: { NODE_OPTIONS: `--import=data:text/javascript,${encodeURIComponent(shifted)}` },
  }
}
