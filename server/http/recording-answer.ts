import type { Account } from '../recording/account.js'
import { type ImportState, largestRecording } from '../recording/import-job.js'
import type { RecordingAccount, RecordingState } from './schemas/recording.js'

const accountAnswer = (account: Account): RecordingAccount => ({
  readable: !account.failed,
  form: account.headings?.layout?.form ?? null,
  rows: account.rows,
  readings: account.readings,
  rowsRefused: account.rowsRefused,
  valuesRefused: account.valuesRefused,
  emptyCells: account.emptyCells,
  repeatedHour: account.repeatedHour,
  from: account.readings > 0 ? account.from : null,
  to: account.readings > 0 ? account.to : null,
  sensors: [...account.sensors.values()].map(({ sensor, ...part }) => ({
    sensor: sensor.id,
    name: sensor.name,
    ...part,
  })),
  leftOut: account.headings?.leftOut ?? [],
  unknown: account.unknown(),
  samples: account.samples.map(({ line, time, written, reading }) => ({
    line,
    time,
    written,
    sensor: reading.sensor.id,
    at: reading.at,
    value: reading.value,
  })),
  faultCounts: account.faults.counts(),
  faults: account.faults.kept,
})

export const recordingAnswer = ({ done, account, ...state }: ImportState): RecordingState => ({
  ...state,
  part: ['receiving', 'reading', 'importing'].includes(state.stage)
    ? Math.min(1, state.size > 0 ? done / state.size : 0)
    : null,
  largest: largestRecording,
  account: account && accountAnswer(account),
})
