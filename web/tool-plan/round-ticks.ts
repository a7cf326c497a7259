/** Round numbers of a scale that is no time of day, with as many decimals as tell them apart. */
export const roundTicks = (from: number, to: number, most: number): { value: number; text: string }[] => {
  const rough = (to - from) / most
  if (!(rough > 0)) return []
  const power = 10 ** Math.floor(Math.log10(rough))
  const step = [1, 2, 5, 10].map(times => times * power).find(each => each >= rough * (1 - 1e-9))!
  const decimals = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9))
  const ticks = []
  for (let k = Math.ceil(from / step - 1e-9); k * step <= to + 1e-9 * step; k++)
    ticks.push({ value: k * step, text: (k * step).toFixed(decimals).replace('-', '−') })
  return ticks
}
