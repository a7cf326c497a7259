import type { Contents } from '../recording/contents.js'
import { type ImportState, largestRecording } from '../recording/import-state.js'
import type { Preview } from '../recording/look-through.js'
import type { RecordingContents, RecordingPreview, RecordingState } from './schemas/recording.js'

/** columns that are shown to be said something of */
const mostColumns = 100

const columnsOf = ({ headings, survey, exampleRow }: Contents): RecordingContents['columns'] => {
  const layout = headings?.layout
  const time = headings?.time
  const sensors = new Map(
    layout?.form === 'columns' ? layout.sensors.map(each => [each.column, each] as const) : undefined,
  )
  const others = layout?.form === 'rows' ? [layout.sensor, layout.value, layout.unit, layout.received] : []
  const useOf = (column: number): string => {
    const sensor = sensors.get(column)?.sensor
    if (sensor) return `sensor ${sensor.id}`
    if (time && column === time.column) return time.clock === null ? 'time' : 'date'
    if (time?.clock === column) return 'time'
    return others.includes(column) ? 'something else that is needed' : 'nothing'
  }
  return (headings?.cells ?? survey?.headings ?? []).slice(0, mostColumns).map((heading, column) => ({
    heading,
    example: (exampleRow?.[column] ?? '').slice(0, 60),
    use: useOf(column),
    unit: sensors.get(column)?.unit ?? null,
  }))
}

const previewAnswer = (preview: Preview): RecordingPreview => {
  const { choices, remembered, codes, clockOffset, contradictions } = preview
  const { stored, inFile, examples } = contradictions
  return {
    choices,
    remembered,
    codes: codes.map(({ sensor, code, readings }) => ({ sensor: sensor.id, name: sensor.name, code, readings })),
    contradictions: { stored, inFile, examples },
    clockOffset,
  }
}

const contentsAnswer = (contents: Contents): RecordingContents => ({
  readable: !contents.failed,
  form: contents.headings?.layout?.form ?? null,
  rows: contents.rows,
  readings: contents.readings,
  rowsRefused: contents.rowsRefused,
  valuesRefused: contents.valuesRefused,
  emptyCells: contents.emptyCells,
  codesLeftOut: contents.codesLeftOut,
  datesUnclear: contents.datesUnclear,
  headingLine: contents.survey?.line ?? 1,
  columns: columnsOf(contents),
  repeatedHour: contents.repeatedHour,
  from: contents.readings > 0 ? contents.from : null,
  to: contents.readings > 0 ? contents.to : null,
  sensors: [...contents.sensors.values()].map(({ sensor, last: _, rising: __, ...part }) => ({
    sensor: sensor.id,
    name: sensor.name,
    ...part,
  })),
  leftOut: contents.headings?.leftOut ?? [],
  unknown: contents.unknown(),
  samples: contents.samples,
  faultCounts: contents.faults.counts(),
  faults: contents.faults.kept,
})

export const recordingAnswer = ({ done, contents, preview, ...state }: ImportState): RecordingState => ({
  ...state,
  part: ['receiving', 'reading', 'importing'].includes(state.stage)
    ? Math.min(1, state.size > 0 ? done / state.size : 0)
    : null,
  largest: largestRecording,
  contents: contents && contentsAnswer(contents),
  preview: preview && previewAnswer(preview),
})
