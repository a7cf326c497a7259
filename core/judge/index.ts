/** Judge: from node temperatures to a job's thermal error, its uncertainty, a verdict and the reasons for it. */
export { type Assessment, assess, asUsuallyKnown } from './assess.js'
export { coverageOf, defaultDecisionRule, toBecomeFit } from './decision-rule.js'
export { extraOf, isEnough, longestExtra, lookedBack, mayName, recordOf, withOneMore } from './fit-by-record.js'
export { lookingAhead } from './forecast.js'
export { growthUncertainty } from './growth-uncertainty.js'
export { standardTolerance } from './iso286.js'
export {
  combinedError,
  type NodeOutlook,
  type NominalError,
  nominalErrors,
  type Outlook,
  outlookAhead,
  type PartOutlook,
  partUncertainty,
  type ThermalState,
  timesCounted,
  type Zero,
} from './job.js'
export { once } from './once.js'
export { type PlannedAir, underPlan } from './plan.js'
export { type PlannedCourse, withSources } from './planned-sources.js'
export { type ReadyAhead, readyTime } from './ready.js'
export { disturbedBy, errorReasons } from './reasons.js'
export { bestOf, ownRemedy, type Situation } from './remedies.js'
export { contributions, expandedUncertainty, type Sensitivities, sensitivities } from './uncertainty.js'
export { Variability } from './variability.js'
export { defaultVerdictSettings, nextVerdict, type ShownVerdict } from './verdict.js'
