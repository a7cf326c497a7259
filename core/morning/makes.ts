import type { Machine, WorkClass } from '../shop.js'

const bare = (name: string): string => name.trim().toLowerCase()

/** Whether a machine can make a part, or a work class by its id, by what the shop file says that it makes. */
const makes = ({ makes: list = [] }: Pick<Machine, 'makes'>, name: string): boolean =>
  list.some(each => (each.endsWith('*') ? bare(name).startsWith(bare(each.slice(0, -1))) : bare(name) === bare(each)))

/**
 * Where a job can be done.
 *
 * @param part  name of the part
 * @param named ids of the machines that are planned for it, the first choice first; none: any that makes the part
 * @returns ids. One machine that is planned alone comes first, then all others that make the part
 */
export const machinesFor = (machines: readonly Machine[], part: string, named: readonly string[]): string[] => {
  if (named.length > 1) return [...new Set(named)]
  const makers = machines.filter(machine => makes(machine, part)).map(({ id }) => id)
  return [...new Set([...named, ...makers])]
}

/** The work classes that a machine makes: all of them where the shop file names none of them for it. */
export const classesMade = (machine: Pick<Machine, 'makes'>, classes: readonly WorkClass[]): readonly WorkClass[] => {
  const named = classes.filter(({ id }) => makes(machine, id))
  return named.length > 0 ? named : classes
}
