import { useState } from 'preact/hooks'
import { type AlignmentAnswer, type AlignmentCheck, bothWays, type Follows } from '../../core/alignment/index.js'
import {
  formatDateTime,
  formatDifference,
  formatPercent,
  formatSlope,
  type UnitSystem,
  type Zone,
} from '../../core/format.js'
import { nameOf } from '../../core/names.js'
import type { Machine } from '../../core/shop.js'
import { useAddress } from '../answer.js'
import { asCsv, machinePath } from '../api.js'
import { Button } from '../frame/button.js'
import { Card, CardTitle } from '../frame/card.js'
import { CsvLink } from '../frame/csv-link.js'
import { machinePage } from '../frame/machine-frame.js'
import { Problem } from '../frame/problem.js'
import { TakeBackDialog } from '../frame/signed.js'
import { signedColumns, Table } from '../frame/table.js'
import { machines, stoppedKind } from '../live/state.js'
import { units } from '../preferences.js'
import { CheckDialog } from './check-dialog.js'

const nodeName = (machine: Machine, id: string | null) => (id === null ? '' : nameOf(machine.nodes, id))

/** "along X +16 µm/m (instrument +4 µm/m)" */
const readings = ({ readings: all }: AlignmentCheck, system: UnitSystem): string =>
  all
    .map(({ direction, value, reversed }) => {
      if (reversed === undefined) return `${direction} ${formatSlope(value, system)}`
      const found = bothWays(value, reversed)
      return `${direction} ${formatSlope(found.value, system)} (instrument itself ${formatSlope(found.instrument, system)})`
    })
    .join(', ')

/** What was found of one direction, as a sentence. */
const findingWords = (found: Follows, machine: Machine, system: UnitSystem): string => {
  const of = `${found.kind[0]!.toUpperCase()}${found.kind.slice(1)}, ${found.direction}`
  if (found.finding === 'cannot be told')
    return `${of}: cannot be told from ${found.checks} ${found.checks === 1 ? 'check' : 'checks'}${found.checks < 5 ? '; five at different temperatures are needed' : ''}.`
  if (found.finding === 'does not')
    return `${of}: does not go with any temperature of the machine, as far as ${found.checks} checks show.`
  const perKelvin =
    system === 'metric'
      ? `${formatSlope(found.slope, system)} a kelvin`
      : `${formatSlope(found.slope! / 1.8, system)} a degree`
  return `${of}: follows ${nodeName(machine, found.node)}, ${perKelvin}; that explains ${formatPercent(100 * found.explained!)} of what changed between ${found.checks} checks. By chance as much is seen in ${formatPercent(100 * found.chance!)} of cases.`
}

/** Whether the machine is still on its way now, by its own verdicts. */
const Settling = ({ machine }: { machine: Machine }) => {
  const state = machines.value.get(machine.id)
  const settling = stoppedKind.value === null && state?.classes.find(({ verdict }) => verdict === 'settling')
  if (!settling) return null
  return (
    <p class="problem" role="note">
      {machine.name} is still settling. What is levelled, squared or trammed now will not stay so: wait until it has
      settled.
    </p>
  )
}

const Content = ({ machine, shop: zone }: { machine: Machine; shop: Zone }) => {
  const system = units.value
  const { value, problem, again } = useAddress<AlignmentAnswer>(machinePath(machine.id, 'alignment'))
  const [open, setOpen] = useState(false)
  const [back, setBack] = useState<AlignmentCheck | null>(null)
  const newest = [...(value?.checks ?? [])].reverse()
  return (
    <>
      <section class="panel" aria-labelledby="alignment-checks">
        <CardTitle id="alignment-checks" text="Checks" about="alignment#a-check">
          <CsvLink href={asCsv(machinePath(machine.id, 'alignment'))} name="alignment" />
        </CardTitle>
        <p>
          <strong>
            Follow the machine builder’s procedure, and lock the machine out where it says so, before anybody reaches
            into it.
          </strong>
        </p>
        <Settling machine={machine} />
        <div class="buttons">
          <Button onClick={() => setOpen(true)}>Record a check …</Button>
        </div>
        <Problem text={problem} />
        {value?.due.map(({ kind, due, overdue }) => (
          <p key={kind} class={overdue ? 'problem' : 'quiet'}>
            {overdue ? `The ${kind} was due to be checked by ${due}.` : `The ${kind} is to be checked by ${due}.`}
          </p>
        ))}
        {value && newest.length === 0 && (
          <p class="empty">
            None recorded yet. A level, a square or a tram means something only on a settled machine: what is recorded
            here keeps the temperatures of its time with it.
          </p>
        )}
        {newest.length > 0 && (
          <Table
            caption="Alignment checks, newest first"
            rows={newest}
            keyOf={({ id }) => id}
            columns={[
              { head: 'When', form: 'nowrap', names: true, cell: ({ at }) => formatDateTime(at, zone) },
              { head: 'What', cell: ({ kind }) => kind },
              { head: 'Found', cell: check => readings(check, system) },
              {
                head: 'Machine then',
                cell: ({ moving, temperatures }) =>
                  moving ? (
                    <strong>
                      still settling: {nodeName(machine, moving.node)} {formatDifference(moving.change, system)} in the
                      hour before
                    </strong>
                  ) : Object.keys(temperatures).length === 0 ? (
                    'not known'
                  ) : (
                    'settled'
                  ),
              },
              { head: 'With', cell: ({ instrument }) => instrument },
              ...signedColumns,
              {
                head: 'Take back',
                form: 'number',
                plain: 'always',
                cell: check => (
                  <Button
                    small
                    aria-label={`Take back the ${check.kind} of ${formatDateTime(check.at, zone)}`}
                    onClick={() => setBack(check)}
                  >
                    Take back …
                  </Button>
                ),
              },
            ]}
          />
        )}
      </section>
      {value && value.follows.length > 0 && (
        <Card id="alignment-follows" text="Does it follow the temperature?" about="alignment#does-it-follow">
          <ul>
            {value.follows.map(found => (
              <li key={`${found.kind} ${found.direction}`}>{findingWords(found, machine, system)}</li>
            ))}
          </ul>
        </Card>
      )}
      {open && <CheckDialog machine={machine} zone={zone} onDone={again} onClose={() => setOpen(false)} />}
      {back && (
        <TakeBackDialog
          title={`Take back the ${back.kind} of ${formatDateTime(back.at, zone)}`}
          address={machinePath(machine.id, `alignment/${back.id}`)}
          onDone={again}
          onClose={() => setBack(null)}
        >
          <p>It no longer counts, and stays on record.</p>
        </TakeBackDialog>
      )}
    </>
  )
}

export const AlignmentPage = machinePage('alignment', Content)
