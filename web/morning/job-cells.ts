/** A feature as people write it. */
export interface FeatureCells {
  feature?: string
  size?: string
  tolerance?: string
  axis?: string
  reads?: string
}
/** A job as people write it, under the headings of the table. */
export interface JobCells extends FeatureCells {
  part?: string
  material?: string
  machine?: string
  start?: string
  duration?: string
  share?: string
  zeroed?: string
  from?: string
  temperature?: string
  brought?: string
  mass?: string
  thickness?: string
  diameter?: string
  speed?: string
  tools?: string
  features?: FeatureCells[]
}
