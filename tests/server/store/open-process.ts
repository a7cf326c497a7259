import { openStore } from '../../../server/store/sqlite.js'

// Opens the database in a folder, in a process of its own, to be killed: FOLDER. Passes on what the store says.
openStore(process.argv[2] ?? '', { say: text => process.stdout.write(`${text}\n`) }).close()
