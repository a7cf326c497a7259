import { stringify } from 'yaml'
import type { RandomPlant } from './plant.js'

/** The shop file that the people of an invented shop would write: nominal values with their uncertainties. YAML. */
export const shopFile = ({ name, stated }: RandomPlant): string =>
  `# ${name}. Everything in it is invented: the shop, its machines and every reading.\n\n${stringify(stated, { lineWidth: 0 })}`
