import { useState } from 'preact/hooks'
import { formatDateTime, formatGrowth, type Zone } from '../../core/format.js'
import type { Machine } from '../../core/shop.js'
import type { JudgedMeasurement, LearningAnswer } from '../../server/http/schemas/measured.js'
import { useAddress } from '../answer.js'
import { asCsv, machinePath, post } from '../api.js'
import { Button } from '../frame/button.js'
import { CardTitle } from '../frame/card.js'
import { CsvLink } from '../frame/csv-link.js'
import { Done, Problem } from '../frame/problem.js'
import { SignedDialog } from '../frame/signed.js'
import { units } from '../preferences.js'
import { FactorChanges, Factors } from './factors.js'
import { MeasurementDialog, MeasurementTableDialog } from './measurement-dialogs.js'
import { MeasurementTable } from './measurement-table.js'

type Open = { what: 'one' | 'table' | 'apply' | 'nominal' } | { what: 'set aside'; measurement: JudgedMeasurement }

/** Why the learned factors cannot be applied; empty when they can. */
const hindrance = ({ measurements, heldOut }: LearningAnswer): string => {
  if (measurements.every(m => m.why !== '')) return ''
  if (!heldOut)
    return 'Measure on three days at least, each from a zero of its own: then it can be shown whether the factors help.'
  if (!heldOut.improves)
    return 'On days held out the learned factors are not clearly better than the nominal model, so they cannot be applied.'
  return ''
}

/** The factors in use are those that would be applied. */
const isInUse = ({ factors, inUse }: LearningAnswer): boolean =>
  factors.every(f => Math.abs((inUse?.factors?.[f.element] ?? Number.NaN) - f.factor) < 0.0005)

/** rows shown before the rest is asked for */
const few = 12

interface Props {
  machine: Machine
  zone: Zone
}

/** What people measured, what it says of the machine's thermal loop, and the decision to use that. */
export const Learning = ({ machine, zone }: Props) => {
  const system = units.value
  const [open, setOpen] = useState<Open | null>(null)
  const [done, setDone] = useState('')
  const [whole, setWhole] = useState(false)
  const address = machinePath(machine.id, 'learning')
  const { value, problem, again } = useAddress<LearningAnswer>(address)
  const close = () => setOpen(null)
  const finished = (words: string) => {
    setDone(words)
    again()
  }
  const stored = (count: number) => finished(`${count} ${count === 1 ? 'measurement' : 'measurements'} stored.`)
  const newest = [...(value?.measurements ?? [])].reverse()
  const shown = whole ? newest : newest.slice(0, few)
  const why = value ? hindrance(value) : ''
  const dialogs = { machine, zone, system, onDone: stored, onClose: close }

  return (
    <section class="panel" aria-labelledby="learning">
      <CardTitle id="learning" text="Learning from measurements" about="measuring#learning-from-measurements">
        <div class="buttons">
          <Button onClick={() => setOpen({ what: 'one' })}>Enter a measurement …</Button>
          <Button onClick={() => setOpen({ what: 'table' })}>Upload measurements …</Button>
        </div>
      </CardTitle>
      <Done text={done} />
      <Problem text={problem} />
      {value && (
        <>
          <div class="flow in-use">
            <p>
              {value.inUse ? (
                <>
                  <strong>Corrected model in use</strong> since {formatDateTime(value.inUse.at, zone)}, accepted by{' '}
                  {value.inUse.by}
                  {value.inUse.note && `: ${value.inUse.note}`}
                </>
              ) : (
                <strong>Nominal model in use</strong>
              )}
            </p>
            <div class="buttons">
              {value.heldOut?.improves && !isInUse(value) && (
                <Button main onClick={() => setOpen({ what: 'apply' })}>
                  Apply learned factors …
                </Button>
              )}
              {value.inUse && <Button onClick={() => setOpen({ what: 'nominal' })}>Back to nominal …</Button>}
            </div>
          </div>
          {newest.length === 0 ? (
            <p class="quiet">
              No measurement yet. Probe a reference sphere, or read an indicator, in the morning and again through the
              day; from three days on, the machine’s own factors can be learned and tried on days not used for it.
            </p>
          ) : (
            <>
              {why && <p>{why}</p>}
              <Factors answer={value} />
              <h3>Measurements</h3>
              <MeasurementTable
                measurements={shown}
                zone={zone}
                onSetAside={measurement => setOpen({ what: 'set aside', measurement })}
              />
              {newest.length > shown.length && (
                <p>
                  <Button onClick={() => setWhole(true)}>Show all {newest.length}</Button>
                </p>
              )}
              <p>
                <CsvLink href={asCsv(address)} name="measurements" text="Measurements as CSV" />
              </p>
            </>
          )}
          {value.changes.length > 0 && (
            <>
              <h3>What was in use</h3>
              <FactorChanges answer={value} zone={zone} />
            </>
          )}
        </>
      )}
      <p class="quiet">
        Follow the machine builder’s instructions when measuring, and keep clear of axes that can move.
      </p>
      {open?.what === 'one' && <MeasurementDialog {...dialogs} />}
      {open?.what === 'table' && <MeasurementTableDialog {...dialogs} />}
      {open?.what === 'apply' && value?.heldOut && (
        <SignedDialog
          title={`Apply learned factors to ${machine.name}`}
          action="Apply"
          busyText="Applying …"
          onSend={async signature => {
            const factors = Object.fromEntries(value.factors.map(f => [f.element, f.factor]))
            await post(machinePath(machine.id, 'factors'), { ...signature, factors })
            finished('The learned factors are in use: for growth, drift and verdicts.')
          }}
          onClose={close}
        >
          <p>
            Growth, drift and verdicts of this machine will be computed with the learned factors. On{' '}
            {value.heldOut.occasions} days held out they were off by{' '}
            {formatGrowth(value.heldOut.corrected, system, 'plain')} instead of{' '}
            {formatGrowth(value.heldOut.nominal, system, 'plain')}. It stays on record, and can be taken back.
          </p>
        </SignedDialog>
      )}
      {open?.what === 'nominal' && (
        <SignedDialog
          title={`Back to the nominal model of ${machine.name}`}
          action="Back to nominal"
          busyText="Going back …"
          onSend={async signature => {
            await post(machinePath(machine.id, 'factors'), { ...signature, factors: null })
            finished('The nominal model is in use again.')
          }}
          onClose={close}
        >
          <p>The factors learned no longer count; measurements stay on record.</p>
        </SignedDialog>
      )}
      {open?.what === 'set aside' && (
        <SignedDialog
          title={`Set aside a measurement of ${open.measurement.axis}`}
          noteLabel="Why: what was wrong with it"
          action="Set aside"
          busyText="Setting aside …"
          onSend={async signature => {
            await post(machinePath(machine.id, `measurements/${open.measurement.id}/set-aside`), signature)
            finished('The measurement no longer counts.')
          }}
          onClose={close}
        >
          <p>
            {formatGrowth(open.measurement.value, system)}, read {formatDateTime(open.measurement.at, zone)}. It stays
            on record but no longer counts; this cannot be undone, but it can be entered again.
          </p>
        </SignedDialog>
      )}
    </section>
  )
}
