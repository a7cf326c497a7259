import { formatExpansion } from '../../core/format.js'
import type { TabledMaterial } from '../../core/materials.js'
import { type Coefficient, lumpedBelow, type PartSoak } from '../../core/soak/index.js'
import { Table } from '../frame/table.js'
import { units } from '../preferences.js'

const film = ({ low, likely, high }: Coefficient) => {
  const digits = (value: number) => String(Number(value.toPrecision(2)))
  return { value: `${digits(likely)} W/m²/K`, range: `${digits(low)} to ${digits(high)}` }
}

/** k = 2, as everywhere on the pages */
const expanded = (relative: number) => `± ${Math.round(200 * relative)} %`

/** What the answer rests on: every number with its range and where it comes from. */
export const Assumed = ({ soak, material }: { soak: PartSoak; material: TabledMaterial }) => {
  const { thermal } = material
  const rows = [
    { what: 'Heat given off by free faces', ...film(soak.free), source: soak.free.source },
    ...(soak.contact
      ? [
          {
            what: 'Heat given off to the plate, its own resistance in it',
            ...film(soak.contact),
            source: soak.contact.source,
          },
        ]
      : []),
    {
      what: 'Heat it holds',
      value: `${thermal.density} kg/m³ × ${thermal.specificHeat} J/kg/K`,
      range: expanded(thermal.heatUncertainty),
      source: thermal.source,
    },
    {
      what: 'Conductivity',
      value: `${thermal.conductivity} W/m/K`,
      range: expanded(thermal.conductivityUncertainty),
      source: thermal.source,
    },
    {
      what: 'Expansion',
      value: formatExpansion(material.alpha, units.value),
      range: expanded(material.alphaUncertainty),
      source: material.source,
    },
  ]
  return (
    <>
      <p>
        {soak.model === 'lumped'
          ? `It counts as equally warm all through: its Biot number, ${soak.biot.toPrecision(2)}, is below ${lumpedBelow}. That makes times up to 3.5 % too short.`
          : `It is warmer inside than at its surface while it soaks (Biot number ${soak.biot.toPrecision(2)}, not below ${lumpedBelow}), so heat is followed through it, in each direction.`}{' '}
        Its error is that of its mean temperature. The surroundings stay as they are, a plate is thick and has their
        temperature, and nothing shines on the part or touches it.
      </p>
      <Table
        caption="What was assumed, with its range and source"
        rows={rows}
        keyOf={({ what }) => what}
        columns={[
          { head: 'What', names: true, cell: ({ what }) => what },
          { head: 'Likely', form: 'nowrap', cell: ({ value }) => value },
          { head: 'Range', form: 'nowrap', cell: ({ range }) => range },
          { head: 'Source', form: 'note', cell: ({ source }) => source },
        ]}
      />
      <p class="quiet">
        Earliest and latest are what these ranges make of the likely time, together. Coefficients are in the units in
        which handbooks give them.
      </p>
    </>
  )
}
