import { thermalLoop } from '../../../core/growth/index.js'
import { type NodeOutlook, type NominalError, nominalErrors, type Outlook } from '../../../core/judge/index.js'
import type { Axis, Machine, Material, StructureElement, WorkClass } from '../../../core/shop.js'

/** One thing that a job's error depends on and that is not known exactly. */
export interface Unknown {
  /** the budget's name for it */
  line: string
  standardUncertainty: number
  /** puts `off` (in its own unit) into the state of the job */
  apply(state: State, off: number): void
}

/** Everything a job's error depends on, free to be changed. */
interface State {
  machine: Machine
  nodes: NodeOutlook[]
  /** K; what each surrounding node changes by as soon as the job has begun */
  airChange: number[]
  part: number
  partAlpha: number
  datum: Outlook['datum']
}

const scaled = (material: Material, factor: number): Material => ({ ...material, alpha: material.alpha * factor })

/** The machine with the coefficient of one of its materials off by a factor. */
const withAlpha = (machine: Machine, name: string, factor: number): Machine => {
  const off = (material: Material) => (material.name === name ? scaled(material, factor) : material)
  const axes = machine.axes.map((axis): Axis => {
    const { measuring } = axis
    const material = off(measuring.material)
    if (measuring.kind === 'scale' || measuring.mounting.kind === 'one end fixed')
      return { ...axis, measuring: { ...measuring, material } }
    const { bed } = measuring.mounting
    const mounting = { ...measuring.mounting, bed: { ...bed, material: off(bed.material) } }
    return { ...axis, measuring: { ...measuring, material, mounting } }
  })
  const structure = machine.structure.map((each): StructureElement => ({ ...each, material: off(each.material) }))
  return { ...machine, axes, structure }
}

/** The materials of a machine, each once. */
const materialsOf = ({ axes, structure }: Machine): Material[] => {
  const all = [
    ...axes.flatMap(({ measuring }) => [
      measuring.material,
      ...(measuring.kind === 'screw' && measuring.mounting.kind === 'both ends fixed'
        ? [measuring.mounting.bed.material]
        : []),
    ]),
    ...structure.map(({ material }) => material),
  ]
  return [...new Map(all.map(material => [material.name, material])).values()]
}

/**
 * All inputs of a job's error that are uncertain, each independent of the others (GUM 5.1). A material is off by its own
 * relative uncertainty wherever it stands in the machine.
 */
export const unknowns = (outlook: Outlook, workClass: WorkClass): Unknown[] => {
  const { machine } = outlook.loop
  const shift = (state: State, i: number, off: number) => {
    const node = state.nodes[i]!
    state.nodes[i] = { ...node, temperature: node.temperature + off, steadyTemperature: node.steadyTemperature + off }
  }
  /** an offset of a sensor is in the temperatures at the datum, too */
  const offset = (state: State, i: number, off: number) => {
    shift(state, i, off)
    if (state.datum) {
      const nodes = state.datum.nodes.slice()
      nodes[i]! += off
      state.datum = { ...state.datum, nodes }
    }
  }
  const partNode = machine.nodes.findIndex(node => node.id === machine.workpiece.node)
  const batches = new Map(outlook.nodes.flatMap(({ batch }) => (batch ? [[batch.name, batch.uncertainty]] : [])))
  const found: Unknown[] = [
    {
      line: 'temperature of the part',
      standardUncertainty: outlook.part.uncertainty,
      apply: (state, off) => {
        state.part += off
      },
    },
    {
      line: 'expansion coefficient of the part',
      standardUncertainty: workClass.material.alphaUncertainty,
      apply: (state, off) => {
        state.partAlpha *= 1 + off
      },
    },
    ...materialsOf(machine).map(
      ({ name, alphaUncertainty }): Unknown => ({
        line: 'expansion coefficient of the machine',
        standardUncertainty: alphaUncertainty,
        apply: (state, off) => {
          state.machine = withAlpha(state.machine, name, 1 + off)
        },
      }),
    ),
    ...[...batches].map(
      ([name, standardUncertainty]): Unknown => ({
        line: 'offset shared by a batch of sensors',
        standardUncertainty,
        apply: (state, off) => {
          state.nodes.forEach((node, i) => {
            if (node.batch?.name !== name) return
            offset(state, i, off)
            if (i !== partNode) return
            state.part += off
            if (state.datum) state.datum = { ...state.datum, part: state.datum.part + off }
          })
        },
      }),
    ),
  ]
  outlook.nodes.forEach((node, i) => {
    found.push(
      { line: 'sensor placement', standardUncertainty: node.placement, apply: (s, off) => shift(s, i, off) },
      { line: 'sensor calibration', standardUncertainty: node.calibration, apply: (s, off) => offset(s, i, off) },
    )
    if (node.follows < 0)
      found.push({
        line: 'ordinary changes of the air',
        standardUncertainty: node.ordinaryChange,
        apply: (state, off) => {
          state.airChange[i]! += off
        },
      })
    else
      found.push(
        {
          line: 'where the nodes are heading',
          standardUncertainty: node.steadyUncertainty,
          apply: (state, off) => {
            state.nodes[i] = { ...state.nodes[i]!, steadyTemperature: state.nodes[i]!.steadyTemperature + off }
          },
        },
        {
          line: 'time constants',
          standardUncertainty: node.timeConstantUncertainty,
          apply: (state, off) => {
            state.nodes[i] = { ...state.nodes[i]!, timeConstant: state.nodes[i]!.timeConstant * (1 + off) }
          },
        },
      )
  })
  return found.filter(each => each.standardUncertainty > 0)
}

/**
 * Thermal error of the job on its machine's first axis with every unknown off by so much.
 *
 * @param off in the order of the unknowns, each in its own unit
 */
export const nominalError = (
  outlook: Outlook,
  workClass: WorkClass,
  of: readonly Unknown[],
  off: ArrayLike<number>,
): NominalError => {
  const state: State = {
    machine: outlook.loop.machine,
    nodes: outlook.nodes.slice(),
    airChange: outlook.nodes.map(() => 0),
    part: outlook.part.temperature,
    partAlpha: workClass.material.alpha,
    datum: outlook.datum,
  }
  of.forEach((unknown, i) => {
    if (off[i] !== 0) unknown.apply(state, off[i]!)
  })
  const { nodes, airChange, part, datum } = state
  const trajectory = (ahead: number) => ({
    nodes: Float64Array.from(nodes, ({ temperature, steadyTemperature, timeConstant, follows }, i) => {
      if (follows < 0) return temperature + (ahead > 0 ? airChange[i]! : 0)
      return temperature + (steadyTemperature + airChange[follows]! - temperature) * -Math.expm1(-ahead / timeConstant)
    }),
    part,
  })
  const changed: Outlook = {
    ...outlook,
    loop: state.machine === outlook.loop.machine ? outlook.loop : thermalLoop(state.machine, outlook.loop.reference),
    nodes,
    trajectory,
    datum,
  }
  const work = { ...workClass, material: { ...workClass.material, alpha: state.partAlpha } }
  return nominalErrors(changed, work)[0]!
}
