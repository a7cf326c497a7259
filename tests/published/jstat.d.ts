/** The parts of jstat that are used here; the package brings no types. */
declare module 'jstat' {
  interface Distribution {
    /** quantile */
    inv(probability: number, ...parameters: number[]): number
    cdf(value: number, ...parameters: number[]): number
  }
  const jstat: { jStat: { normal: Distribution; studentt: Distribution } }
  export default jstat
}
