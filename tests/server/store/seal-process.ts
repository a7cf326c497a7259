import { openStore } from '../../../server/store/sqlite.js'
import { readingNumber } from './numbered.js'

// Appends numbered readings and seals in between, in a process of its own, to be killed: FOLDER FIRST. Says after each
// commit how many there are, and "sealing" with each slice.
const [folder = '', first = '0'] = process.argv.slice(2)

const store = openStore(folder, { sealSlice: 1 })
let number = Number(first)
const work = () => {
  const group = Array.from({ length: 200 }, (_, index) => readingNumber(number + index))
  store.append(group)
  number += group.length
  process.stdout.write(`${number}\n`)
  for (let slice = 0; slice < 4; slice += 1) if (store.sealSome(2 ** 48)) process.stdout.write('sealing\n')
  setImmediate(work)
}
work()
