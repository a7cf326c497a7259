import Database from 'better-sqlite3'

// Another program that holds the database FILE: says "held", and lets go when its input ends.
const db = new Database(process.argv[2] ?? '')
db.exec('BEGIN EXCLUSIVE')
process.stdout.write('held\n')
process.stdin.resume()
process.stdin.once('end', () => {
  db.exec('ROLLBACK')
  db.close()
})
