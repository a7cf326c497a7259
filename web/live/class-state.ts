import type { ClassState, MachineState } from '../../core/state.js'

/** What a machine's state says of a work class; undefined when nothing is known. */
export const classState = (machine: MachineState | undefined, workClass: string): ClassState | undefined =>
  machine?.classes.find(c => c.workClass === workClass)
