/** The scrap investigation: was it heat, how much of it, how sure. */
export { type PredictedPart, shareExplained, slopeOnPrediction } from './share-explained.js'
export {
  type Conclusion,
  type Doubt,
  type FeatureParts,
  type HeatFinding,
  neededParts,
  type Told,
  wasItHeat,
} from './was-it-heat.js'
