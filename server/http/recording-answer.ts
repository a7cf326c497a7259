import type { Contents } from '../recording/contents.js'
import { type ImportState, largestRecording } from '../recording/import-job.js'
import type { RecordingContents, RecordingState } from './schemas/recording.js'

const accountAnswer = (contents: Contents): RecordingContents => ({
  readable: !contents.failed,
  form: contents.headings?.layout?.form ?? null,
  rows: contents.rows,
  readings: contents.readings,
  rowsRefused: contents.rowsRefused,
  valuesRefused: contents.valuesRefused,
  emptyCells: contents.emptyCells,
  repeatedHour: contents.repeatedHour,
  from: contents.readings > 0 ? contents.from : null,
  to: contents.readings > 0 ? contents.to : null,
  sensors: [...contents.sensors.values()].map(({ sensor, ...part }) => ({
    sensor: sensor.id,
    name: sensor.name,
    ...part,
  })),
  leftOut: contents.headings?.leftOut ?? [],
  unknown: contents.unknown(),
  samples: contents.samples.map(({ line, time, written, reading }) => ({
    line,
    time,
    written,
    sensor: reading.sensor.id,
    at: reading.at,
    value: reading.value,
  })),
  faultCounts: contents.faults.counts(),
  faults: contents.faults.kept,
})

export const recordingAnswer = ({ done, contents, ...state }: ImportState): RecordingState => ({
  ...state,
  part: ['receiving', 'reading', 'importing'].includes(state.stage)
    ? Math.min(1, state.size > 0 ? done / state.size : 0)
    : null,
  largest: largestRecording,
  contents: contents && accountAnswer(contents),
})
