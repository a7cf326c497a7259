/** The name that something of the shop goes by; its id where the shop no longer has it. */
export const nameOf = (all: readonly { id: string; name: string }[], id: string): string =>
  all.find(each => each.id === id)?.name ?? id
