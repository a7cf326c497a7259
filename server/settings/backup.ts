import { resolve } from 'node:path'
import { z } from 'zod'
import { listeningOptions, listeningSchema } from './listening.js'
import { type Command, type Environment, type Outcome, readSettings } from './options.js'

interface BackupSettings {
  /** absolute paths: the folder of the database, and the copy to be made */
  data: string
  to: string
}

const schema = z.object({
  data: listeningSchema.data,
  to: z
    .string('is needed: the file the copy goes to')
    .trim()
    .min(1, 'must name a file')
    .transform(file => resolve(file)),
})

const command: Command = {
  call: 'npm run backup --',
  about: 'Copies the database into one file, while the service runs or not, and checks the copy.',
  options: [
    { name: 'to', value: 'FILE', about: 'the copy; one that is there is never overwritten; needed' },
    ...listeningOptions('data', '').filter(({ name }) => name === 'data'),
  ],
  after: [
    'To restore: stop the service, set the data folder aside (keep it), make an empty one, put the copy there as',
    'quiet-iron.db, and start the service with that folder.',
  ],
}

/** @param argv without the program's own name */
export const readBackupSettings = (argv: readonly string[], environment: Environment): Outcome<BackupSettings> =>
  readSettings(command, schema, argv, environment)
