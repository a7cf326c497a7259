/** Parts that were measured: what is on record of each, and what its deviation at the reference temperature is. */
export { type Deviation, deviationAt } from './deviation.js'
export {
  type CutSides,
  cutSides,
  type Inspection,
  type InspectionChoices,
  type InspectionEntry,
  type InspectionUse,
  inspection,
  inspectionChoices,
  inspectionEntry,
  inspectionKind,
  inspectionUse,
  longerAxis,
  zeroedFor,
} from './inspection.js'
