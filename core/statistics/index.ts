export { median } from './median.js'
export { theilSenSlope } from './theilSen.js'
