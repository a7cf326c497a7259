/** A node that follows invented shop air, as its sensors would report it in five-minute means. */
interface Invented {
  /** s */
  tau: number
  days?: number
  /** K; noise of a five-minute mean of the node and of the air */
  noise?: number
  airNoise?: number
  /** K; how far the air swings in a day, and wanders besides */
  swing?: number
  /** its own heat in a shift, K */
  ownHeat?: number
  /** a slower part and its share in the reading */
  heavy?: { tau: number; share: number }
}

/** Evenly distributed numbers in 0..1: mulberry32, public domain. */
const uniform = (seed: number) => {
  let a = seed >>> 0
  return () => {
    a = (a + 0x6d2b79f5) | 0
    let t = Math.imul(a ^ (a >>> 15), 1 | a)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

/** s; step of the integration, which is exact for air held over it */
const h = 30
const perMean = 10

/**
 * Daily swing, slow wander (4 h) and eddies (200 s, 0.08 K) of the air; the node follows it exactly (first order, or two
 * bodies side by side).
 */
export const invented = (seed: number, settings: Invented) => {
  const { tau, days = 14, noise = 0.01, airNoise = 0.01, swing = 1.2, ownHeat = 0, heavy } = settings
  const u = uniform(seed)
  const normal = () => Math.sqrt(-2 * Math.log(1 - u())) * Math.cos(2 * Math.PI * u())
  const times: number[] = []
  const node: number[] = []
  const air: number[] = []
  let [slow, eddy, light, iron] = [0, 0, 20, 20]
  for (let k = 0; k < days * 288; k++) {
    let [airSum, nodeSum] = [0, 0]
    for (let j = 0; j < perMean; j++) {
      const t = (k * perMean + j) * h
      slow += (-slow * h) / 14_400 + 0.4 * swing * Math.sqrt((2 * h) / 14_400) * normal()
      eddy += (-eddy * h) / 200 + Math.min(0.08, swing) * Math.sqrt((2 * h) / 200) * normal()
      const hour = (t / 3600) % 24
      const day = Math.floor(t / 86_400)
      const around = 20 + swing * Math.sin((2 * Math.PI * (hour - 9)) / 24) + slow + eddy
      const heat = day % 7 < 5 && hour > 6 && hour < 15 ? ownHeat * (1 + 0.5 * Math.sin(seed + day)) : 0
      light = around + heat + (light - around - heat) * Math.exp(-h / tau)
      if (heavy) iron = around + heat + (iron - around - heat) * Math.exp(-h / heavy.tau)
      airSum += around
      nodeSum += heavy ? (1 - heavy.share) * light + heavy.share * iron : light
    }
    times.push(k * perMean * h * 1000)
    air.push(airSum / perMean + airNoise * normal())
    node.push(nodeSum / perMean + noise * normal())
  }
  return { times, node, air }
}
