/**
 * Spindle growth: from a growth test (`growth-test.ts`) to a law of it (`fit.ts`, by `candidate.ts`, in the terms of
 * `law.ts`), what that law expects of a sequence of speeds (`predict.ts`), whether it has changed (`compare.ts`), and the
 * dwells, offsets and order of a job's tools (`tool-plan.ts`, `best-order.ts`) after a warm-up (`warm-up.ts`,
 * `axis-warm-up.ts`), with what unlike lengths add (`arms.ts`); `planned-list.ts` puts these together. Speeds are in
 * revolutions a second.
 */
export * from './answer.js'
export { type ArmAnswer, headTilts } from './arms.js'
export { type AxisWarmUp, axisWarmUps } from './axis-warm-up.js'
export { compareTests } from './compare.js'
export { fitSpindle, type SpindleModel } from './fit.js'
export { growthTest, type SpindleStep } from './growth-test.js'
export * from './known.js'
export { spindleOf } from './law.js'
export * from './planned-list.js'
export { predictGrowth } from './predict.js'
export * from './run.js'
export { type PlannedTool, plannedTool, type ToolJob, toolJob } from './tool-plan.js'
