/**
 * Coefficients of linear expansion near 20 °C, each with its relative standard uncertainty and where it comes from, and
 * how each material holds and carries heat.
 *
 * The sources give values for an alloy, not for the bar in the machine, and mostly no uncertainty. Where a source gives
 * limits, they are read as a rectangular distribution (half width / √3; GUM 4.3.7). Elsewhere the uncertainty is our
 * judgement of how far a batch, and the range of temperature the value was averaged over, may lie from it: 3 % for a
 * named alloy, 5 % for a family. A shop that knows better says so in its file.
 */

import { nearestNames } from './nearest.js'
import type { Material } from './shop.js'
import type { Parsed } from './units.js'

/** A material of the table. */
export interface TabledMaterial extends Material {
  /** other names that find it */
  also: readonly string[]
  /** where the coefficient comes from, and how sure that is */
  source: string
  /** what a soak needs to know of it */
  thermal: Thermal
}

/** How heat is held and carried near 20 °C. */
export interface Thermal {
  /** kg/m³ */
  density: number
  /** J/kg/K */
  specificHeat: number
  /** relative, standard; of density times specific heat */
  heatUncertainty: number
  /** W/m/K */
  conductivity: number
  /** relative, standard */
  conductivityUncertainty: number
  source: string
}

const callisterValue = 'Callister, Materials Science and Engineering, appendix B.6'
const callister = `${callisterValue}; uncertainty judged`
const fromMemory = 'from memory, usual data-sheet value; uncertainty judged'
const rectangular = (halfWidth: number, value: number) => halfWidth / Math.sqrt(3) / value

const callisterThermal = 'Callister, Materials Science and Engineering, appendix B, from memory; uncertainties judged'
const incropera =
  'Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, appendix A, from memory; uncertainties judged'
const dataSheets = 'usual data-sheet values, from memory; uncertainties judged'

/**
 * Density kg/m³, specific heat J/kg/K, conductivity W/m/K, and the relative standard uncertainty of the last, which
 * alloying and heat treatment change most: 10 % for a named alloy, 20 % for a family. Density times specific heat differs
 * little between alloys of a metal: 4 % for all.
 */
const properties: Record<string, [number, number, number, number, string]> = {
  steel: [7850, 470, 45, 0.2, dataSheets],
  'gauge-block steel': [7800, 475, 40, 0.15, dataSheets],
  'steel A36': [7850, 486, 51.9, 0.1, callisterThermal],
  'steel 1020': [7850, 486, 51.9, 0.1, callisterThermal],
  'steel 1040': [7850, 486, 51.9, 0.1, callisterThermal],
  'steel 4140': [7850, 475, 42.7, 0.1, dataSheets],
  'grey iron': [7300, 544, 46, 0.2, callisterThermal],
  'ductile iron': [7100, 544, 36, 0.2, callisterThermal],
  aluminium: [2700, 900, 180, 0.2, dataSheets],
  'aluminium 6061': [2700, 896, 167, 0.1, dataSheets],
  'aluminium 7075': [2800, 960, 130, 0.1, callisterThermal],
  'aluminium 2024': [2770, 875, 150, 0.2, `${callisterThermal}; conductivity between its tempers`],
  'stainless 304': [7900, 477, 14.9, 0.1, incropera],
  'stainless 316': [8240, 468, 13.4, 0.1, incropera],
  'stainless 17-7PH': [7650, 460, 16.4, 0.1, callisterThermal],
  'stainless 17-4PH H900': [7800, 460, 17.8, 0.1, dataSheets],
  'brass C260': [8530, 380, 110, 0.1, incropera],
  'brass C360': [8500, 380, 115, 0.1, callisterThermal],
  copper: [8933, 385, 401, 0.1, incropera],
  'titanium Ti-6Al-4V': [4430, 540, 6.7, 0.1, dataSheets],
  Invar: [8050, 515, 10, 0.1, dataSheets],
  'Inconel 625': [8440, 410, 9.8, 0.1, callisterThermal],
  'Inconel 718': [8190, 435, 11.4, 0.1, dataSheets],
  'tungsten carbide': [14_900, 210, 80, 0.2, dataSheets],
  granite: [2630, 775, 2.79, 0.2, incropera],
  'fused silica': [2220, 745, 1.38, 0.1, incropera],
  Zerodur: [2530, 800, 1.46, 0.1, dataSheets],
  'borosilicate glass': [2225, 835, 1.4, 0.2, incropera],
  'float glass': [2500, 750, 1.4, 0.2, incropera],
  silicon: [2330, 712, 148, 0.1, incropera],
}

const thermal = (name: string): Thermal => {
  const [density, specificHeat, conductivity, conductivityUncertainty, source] = properties[name]!
  return { density, specificHeat, heatUncertainty: 0.04, conductivity, conductivityUncertainty, source }
}

const entry = (name: string, perMillion: number, alphaUncertainty: number, source: string, ...also: string[]) => ({
  name,
  alpha: perMillion / 1e6,
  alphaUncertainty,
  source,
  also,
  thermal: thermal(name),
})

const iso3650 =
  'gauge-block steel 11.5 ± 1.0 µm/m/K (ISO 3650, from memory), limits taken as rectangular; steel 11.5 also in Swyt, J. Res. NIST 99, 31 (1994)'

/** The table. Coefficients are entered in µm/m/K. */
export const materials: readonly TabledMaterial[] = [
  entry('steel', 11.5, rectangular(1.0, 11.5), iso3650),
  entry('gauge-block steel', 11.5, rectangular(1.0, 11.5), iso3650, 'gauge block steel', 'gage-block steel'),
  entry('steel A36', 11.7, 0.03, callister),
  entry('steel 1020', 11.7, 0.03, callister),
  entry('steel 1040', 11.3, 0.03, callister),
  // other tables give as little as 11.2 for this steel and 16.0 for that stainless one: taken as limits (see tests/published)
  entry('steel 4140', 12.3, rectangular(1.1, 12.3), `${callisterValue}; uncertainty from a supplier's 11.2`),
  entry('grey iron', 11.4, 0.05, callister, 'cast iron', 'grey cast iron'),
  entry('ductile iron', 11.2, 0.05, callister, 'ductile cast iron', 'nodular iron'),
  entry('aluminium', 23.1, 0.05, 'Swyt, J. Res. NIST 99, 31 (1994); uncertainty judged'),
  entry('aluminium 6061', 23.6, 0.03, callister),
  entry('aluminium 7075', 23.4, 0.03, callister),
  entry('aluminium 2024', 22.9, 0.03, callister),
  entry(
    'stainless 304',
    17.2,
    rectangular(1.2, 17.2),
    `${callisterValue}; uncertainty from EN 10088-1's 16.0`,
    'stainless steel 304',
    'steel 304',
  ),
  entry('stainless 316', 15.9, 0.03, callister, 'stainless steel 316', 'steel 316'),
  entry('stainless 17-7PH', 11.0, 0.03, callister, 'stainless steel 17-7PH', '17-7PH'),
  entry('stainless 17-4PH H900', 10.8, 0.05, fromMemory, 'stainless steel 17-4PH H900', 'stainless 17-4PH', '17-4PH'),
  entry('brass C260', 19.9, 0.03, callister),
  entry('brass C360', 20.5, 0.03, callister, 'brass'),
  entry('copper', 17.0, 0.03, callister),
  entry('titanium Ti-6Al-4V', 8.6, 0.03, callister, 'Ti-6Al-4V', 'titanium 6Al-4V'),
  entry('Invar', 1.6, 0.2, callister),
  entry('Inconel 625', 12.8, 0.03, callister),
  entry('Inconel 718', 13.0, 0.05, fromMemory),
  entry(
    'tungsten carbide',
    4.5,
    rectangular(0.4, 4.5),
    '4.5, limits 4.2 to 5, from memory; taken as rectangular',
    'carbide',
  ),
  entry('granite', 6.3, rectangular(1.5, 6.3), '6.3, limits 5 to 8, from memory; taken as rectangular'),
  entry('fused silica', 0.55, 0.1, fromMemory, 'fused quartz', 'quartz glass'),
  // 0 ± 0.1: an uncertainty relative to zero has no meaning, so the value is set to a hundredth of its own limits and
  // the whole of the limits is carried by the uncertainty (0.1/√3 = 0.058 µm/m/K).
  entry('Zerodur', 0.001, rectangular(0.1, 0.001), '0 ± 0.1, from memory; limits taken as rectangular'),
  entry('borosilicate glass', 3.25, 0.03, 'second-hand copy of data sheets; uncertainty judged', 'borosilicate'),
  entry('float glass', 8.5, 0.03, '8.3 to 8.7, second-hand copy; uncertainty judged', 'glass', 'soda-lime glass'),
  entry('silicon', 2.6, 0.03, 'Swyt, J. Res. NIST 99, 31 (1994); uncertainty judged'),
]

/** Word order, case and the spelling of either side of the Atlantic do not matter: "4140 Steel", "gray iron". */
const key = (name: string) =>
  name
    .toLowerCase()
    .replace(/aluminum/g, 'aluminium')
    .replace(/\bgray\b/g, 'grey')
    .split(/\s+/)
    .filter(word => word !== '')
    .sort()
    .join(' ')

const byKey = new Map(materials.flatMap(each => [each.name, ...each.also].map(name => [key(name), each] as const)))

/**
 * The material of a name.
 *
 * @param name as written in a shop file
 * @param own  the shop's own materials; they come before the table's
 * @returns the material (name as given by the table or the shop), or which names come near
 */
export const findMaterial = (name: string, own: readonly Material[] = []): Parsed<Material> => {
  const found = own.find(each => key(each.name) === key(name)) ?? byKey.get(key(name))
  if (found) return { value: { name: found.name, alpha: found.alpha, alphaUncertainty: found.alphaUncertainty } }
  const names = [...new Set([...own, ...materials].map(each => each.name))]
  const near = nearestNames(name, names)
  return {
    problem: `there is no material "${name.trim()}"`,
    remedy:
      near.length > 0
        ? `did you mean ${near.join(' or ')}? Or describe it under "materials" with its expansion and uncertainty`
        : `describe it under "materials" with its expansion and uncertainty, or use one of: ${names.join(', ')}`,
  }
}

/** How a material of the table holds and carries heat; null for one that is only the shop's. @param name any of its names */
export const thermalOf = (name: string): Thermal | null => byKey.get(key(name))?.thermal ?? null
