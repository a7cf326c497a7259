import { closeSync, openSync, writeSync } from 'node:fs'
import type { Truth } from './shop.js'

const header = 'time,machine,axis,growthAtZeroM,growthAtWorkM,growthAtTravelM,structureM,partTemperatureC'

/** A tenth of a nanometre is enough. */
const metres = (value: number): string => value.toFixed(10)

/** The true growth at a moment, a line for each axis; times as ISO 8601. */
const truthLines = ({ time, machines }: Truth): string[] =>
  Object.entries(machines).flatMap(([machine, { axes, partTemperature }]) =>
    Object.entries(axes).map(([axis, { atZero, atWork, atTravel, structure }]) =>
      [
        new Date(time).toISOString(),
        machine,
        axis,
        metres(atZero),
        metres(atWork),
        metres(atTravel),
        metres(structure),
        partTemperature.toFixed(4),
      ].join(','),
    ),
  )

/**
 * A CSV file of what is true, beside the readings that a broker gets.
 *
 * @param path replaced when it exists
 * @throws the file system's own error when it cannot be written
 */
export const createTruthFile = (path: string) => {
  const file = openSync(path, 'w')
  writeSync(file, `${header}\n`)
  return {
    write: (truth: Truth): void => {
      writeSync(file, `${truthLines(truth).join('\n')}\n`)
    },
    close: (): void => closeSync(file),
  }
}
