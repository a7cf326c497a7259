import { findMaterial, materials } from '../../core/materials.js'
import type { Check } from './check.js'

/** A source's coefficient, 1e-6/K, and half of the last digit it gives (or half of the range). */
type Given = [source: string, alpha: number, digit: number]

const callister = (alpha: number): Given => ['Callister, appendix B.6, second-hand', alpha, 0.05]
const swyt = (alpha: number): Given => ['Swyt, J. Res. NIST 99, 31 (1994)', alpha, 0.05]
const perFahrenheit = (source: string, alpha: number): Given => [source, alpha * 1.8, 0.05 * 1.8]
const boiler: Given = perFahrenheit('ASME BPVC II-D, table TE-1, carbon steel at 70 °F, second-hand', 6.4)
const en10088 = (alpha: number): Given => ['EN 10088-1, 20 to 100 °C, second-hand', alpha, 0.05]
const webSteel = (alpha: number, range = '0 to 100 °C'): Given => [
  `engineering table on the web (amesweb), ${range}`,
  alpha,
  0.05,
]
const webMetal = (alpha: number, range: string): Given =>
  perFahrenheit(`engineering table on the web (Engineering ToolBox)${range}`, alpha)
const encyclopedia = (alpha: number, digit: number): Given => ['an encyclopedia’s value, second-hand', alpha, digit]
const supplier = (alpha: number, range: string, digit = 0.05): Given => [`a supplier’s data, ${range}`, alpha, digit]
const supplierFahrenheit = (alpha: number, range: string): Given => perFahrenheit(`a supplier’s data, ${range}`, alpha)
const fromMemory = (what: string, alpha: number, digit = 0.05): Given => [`${what}, from memory`, alpha, digit]

/** What the sources say of every material of the table. Where one stands alone, no second was found for near 20 °C. */
const given: Readonly<Record<string, Given[]>> = {
  steel: [swyt(11.5), boiler, fromMemory('gauge-block steel, ISO 3650', 11.5)],
  'gauge-block steel': [fromMemory('ISO 3650', 11.5), swyt(11.5)],
  'steel A36': [callister(11.7), boiler],
  'steel 1020': [callister(11.7), webSteel(11.7), boiler],
  'steel 1040': [callister(11.3), webSteel(11.2), boiler],
  'steel 4140': [callister(12.3), webSteel(12.3), supplierFahrenheit(6.2, '32 to 212 °F')],
  'grey iron': [callister(11.4), webMetal(5.8, ', 32 to 212 °F'), supplierFahrenheit(6.0, '32 to 212 °F')],
  'ductile iron': [callister(11.2), callister(10.6), supplierFahrenheit(6.0, 'range not given')],
  aluminium: [swyt(23.1), encyclopedia(23.1, 0.05)],
  'aluminium 6061': [callister(23.6), supplierFahrenheit(13.1, '68 to 212 °F'), webMetal(13.0, '')],
  'aluminium 7075': [callister(23.4), supplierFahrenheit(13.1, '68 to 212 °F'), webMetal(13.1, '')],
  'aluminium 2024': [callister(22.9), supplierFahrenheit(12.9, '68 to 212 °F'), webMetal(12.9, '')],
  'stainless 304': [callister(17.2), webSteel(17.2), en10088(16.0)],
  'stainless 316': [callister(15.9), webSteel(15.9), en10088(16.0)],
  'stainless 17-7PH': [
    callister(11.0),
    ['Materials Selector, age-hardenable stainless steels, 5.5 to 8.2 /°F', 6.85 * 1.8, 1.35 * 1.8],
  ],
  'stainless 17-4PH H900': [en10088(10.9), webSteel(10.8, 'at 20 °C')],
  'brass C260': [callister(19.9), webMetal(11.1, '')],
  'brass C360': [callister(20.5), webMetal(11.4, '')],
  copper: [callister(17.0), encyclopedia(17, 0.5), ['a second table on the web (matmake), about 20 °C', 16.5, 0.05]],
  'titanium Ti-6Al-4V': [callister(8.6), supplier(8.6, '20 to 100 °C'), supplier(8.64, 'at 22 °C', 0.005)],
  Invar: [
    callister(1.6),
    encyclopedia(1.2, 0.05),
    supplier(1.5, '20 to 100 °C'),
    supplier(1.93, '30 to 100 °C, after ASTM F1684', 0.005),
  ],
  'Inconel 625': [callister(12.8), fromMemory('usual data-sheet value, 21 to 93 °C', 12.8)],
  'Inconel 718': [
    supplier(12.8, '25 to 93 °C'),
    supplier(13.0, '20 to 100 °C'),
    perFahrenheit('a supplier’s data, 70 to 200 °F', 7.31),
  ],
  'tungsten carbide': [fromMemory('usual value, 4.2 to 5', 4.5, 0.5)],
  granite: [
    supplierFahrenheit(3.5, 'surface plates'),
    perFahrenheit('engineering table on the web (Engineers Edge)', 4.4),
  ],
  'fused silica': [encyclopedia(0.59, 0.005), encyclopedia(0.55, 0.005)],
  Zerodur: [['its maker, class 2, 0 to 50 °C: 0 ± 0.1', 0, 0], encyclopedia(0.02, 0.005)],
  'borosilicate glass': [
    ['ISO 3585, borosilicate glass 3.3, 20 to 300 °C, second-hand', 3.3, 0.05],
    encyclopedia(3.25, 0.005),
  ],
  'float glass': [encyclopedia(8.5, 0.05), ['EN 572-1, 20 to 300 °C, second-hand', 9, 0.5]],
  silicon: [swyt(2.6), encyclopedia(3, 0.5)],
}

/** largest less smallest of the sources' coefficients, 1e-6/K */
const spread = (sources: readonly Given[]): number => {
  const alphas = sources.map(([, alpha]) => alpha)
  return Math.max(...alphas) - Math.min(...alphas)
}

/**
 * Every source's coefficient lies within twice the standard uncertainty the project works with, and the source's own
 * rounding. Mean coefficients from 20 to 100 °C lie somewhat above the one at 20 °C: that is part of the uncertainty.
 */
export const expansionChecks = (): Check[] =>
  materials.flatMap(({ name }) => {
    const sources = given[name]
    if (!sources) throw new Error(`no source is given for the expansion of ${name}`)
    const found = findMaterial(name)
    if ('problem' in found) throw new Error(found.problem)
    const { alpha, alphaUncertainty } = found.value
    const differ = sources.length > 1 ? ` (sources differ by ${spread(sources).toFixed(2)})` : ' (one source)'
    return sources.map(
      ([source, published, digit]): Check => ({
        item: `${name}${differ}`,
        source,
        unit: 'µm/m/K',
        published,
        computed: alpha * 1e6,
        allowed: 2 * alphaUncertainty * alpha * 1e6 + digit,
      }),
    )
  })
