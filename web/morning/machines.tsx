import {
  formatGrowth,
  formatLength,
  formatMoment,
  formatSince,
  formatTolerance,
  growthScale,
} from '../../core/format.js'
import type { MachineMorning, MorningCheck } from '../../core/morning/index.js'
import { nameOf } from '../../core/names.js'
import type { Reader } from '../../core/sentences/index.js'
import type { Shop } from '../../core/shop.js'
import { Button } from '../frame/button.js'
import { CardTitle } from '../frame/card.js'
import { type Column, Table } from '../frame/table.js'
import { addressOf } from '../routes.js'
import { VerdictShape, verdictWords } from '../shapes/verdict.js'
import { unbroken } from '../words.js'
import { decisionWords } from './decision-dialog.js'

const ClassCell = ({ of, reader }: { of: MachineMorning['classes'][number] | undefined; reader: Reader }) => {
  if (!of) return <span class="quiet">not made there</span>
  const { verdict, ready, since } = of
  const at = (moment: number) => formatMoment(moment, reader.now, reader.zone)
  return (
    <>
      <span class={`reads reads-${verdict}`}>
        <VerdictShape verdict={verdict} /> {ready ? `from ${at(ready.likely)}` : verdictWords[verdict]}
      </span>{' '}
      <small class="nowrap">
        {ready ? `${at(ready.earliest)}–${at(ready.latest)}` : formatSince(since, reader.now, reader.zone)}
      </small>
    </>
  )
}

type NightAxis = MachineMorning['night'][number]
const widest = (night: readonly NightAxis[]): NightAxis | undefined =>
  night.reduce<NightAxis | undefined>((a, b) => ((b.swing ?? -1) > (a?.swing ?? -1) ? b : a), undefined)

/** The largest swing of the night as a bar, the usual one as a line across it. @param most m; the bar's whole width */
const Swing = ({ of, most, reader }: { of: MachineMorning; most: number; reader: Reader }) => {
  const axis = widest(of.night)
  if (!axis || axis.swing === null) return <span class="quiet">not known</span>
  const part = (length: number) => `${Math.min(100, (100 * length) / most).toFixed(1)}%`
  const { system } = reader
  return (
    <span class="swing">
      <span class="swing-bar" aria-hidden="true">
        <i style={{ width: part(axis.swing) }} />
        {axis.usualSwing !== null && <u style={{ left: part(axis.usualSwing) }} />}
      </span>
      <span>
        {unbroken(`${axis.axis} ${formatGrowth(axis.swing, system, 'plain')}`)}
        {axis.usualSwing !== null && (
          <span class="hidden">, usually {formatGrowth(axis.usualSwing, system, 'plain')}</span>
        )}
      </span>
    </span>
  )
}

/** "X −18, Y −6.0, Z −4.5 µm" */
const Growths = ({ of: { night }, reader }: { of: MachineMorning; reader: Reader }) => {
  const { unit } = growthScale[reader.system]
  const each = night.map(({ axis, growth }) => `${axis} ${formatGrowth(growth, reader.system).replace(` ${unit}`, '')}`)
  return <small>{night.length > 0 && unbroken(`${each.join(', ')} ${unit}`)}</small>
}

const Zero = ({ datum, reader }: { datum: MachineMorning['datum']; reader: Reader }) => {
  if (!datum) return <span class="quiet">none recorded</span>
  const moved =
    datum.axis && datum.moved !== null ? unbroken(`${datum.axis} ${formatGrowth(datum.moved, reader.system)}`) : ''
  const granted = datum.granted === null ? '' : `of ${unbroken(formatGrowth(datum.granted, reader.system, 'plain'))}`
  const set = formatSince(datum.at, reader.now, reader.zone)
  if (datum.holds === null)
    return (
      <span class="reads reads-unknown">
        <VerdictShape verdict="unknown" /> cannot be told
      </span>
    )
  return (
    <>
      <span class={`reads reads-${datum.holds ? 'fit' : 'settling'}`}>
        <VerdictShape verdict={datum.holds ? 'fit' : 'settling'} /> {datum.holds ? 'holds' : 'zero again'}
      </span>{' '}
      <small>
        {moved && <span class="nowrap">{`${moved} ${granted}`}, </span>}
        <span class="nowrap">{set}</span>
      </small>
    </>
  )
}

const WarmUp = ({ of: { kind, since, until }, reader }: { of: MachineMorning['warmUp']; reader: Reader }) => {
  const when =
    kind === 'warming' && until !== null
      ? `until ${formatMoment(until, reader.now, reader.zone)}`
      : kind === 'warmed up' && since !== null
        ? formatSince(since, reader.now, reader.zone)
        : ''
  return (
    <>
      <span class="nowrap">{kind}</span> {when && <small class="nowrap">{when}</small>}
    </>
  )
}

interface Props {
  check: MorningCheck
  shop: Shop
  reader: Reader
  onDecide: (machine: string) => void
  onMeasure: (machine: string) => void
}

/** Every machine by kind of work, with its night, its zero, and what was decided for it. */
export const MachinesCard = ({ check, shop, reader, onDecide, onMeasure }: Props) => {
  const most = check.machines.reduce(
    (m, { night }) => night.reduce((n, { swing, usualSwing }) => Math.max(n, swing ?? 0, usualSwing ?? 0), m),
    1e-6,
  )
  return (
    <section class="panel morning-card" aria-labelledby="machines">
      <CardTitle id="machines" text="Machines" about="morning#machines">
        <p class="quiet">
          for a job begun now; “from”: likely within its share from then on, if doors, vents and heat sources go on as
          usual
        </p>
      </CardTitle>
      {check.machines.length === 0 ? (
        <p class="empty">Nothing is known of any machine yet.</p>
      ) : (
        <>
          <Table
            caption="Machines by work class"
            rows={check.machines}
            keyOf={({ machine }) => machine}
            columns={[
              {
                head: 'Machine',
                names: true,
                form: 'nowrap',
                cell: ({ machine }) => <a href={addressOf('machine', machine)}>{nameOf(shop.machines, machine)}</a>,
              },
              ...shop.workClasses.map(
                (c): Column<MachineMorning> => ({
                  head: c.name,
                  cell: ({ classes }) => (
                    <ClassCell of={classes.find(each => each.workClass === c.id)} reader={reader} />
                  ),
                }),
              ),
              {
                head: 'Night’s swing, growth',
                cell: of => (
                  <>
                    <Swing of={of} most={most} reader={reader} /> <Growths of={of} reader={reader} />
                  </>
                ),
              },
              { head: 'Zero', cell: ({ datum }) => <Zero datum={datum} reader={reader} /> },
              { head: 'Warm-up', cell: ({ warmUp }) => <WarmUp of={warmUp} reader={reader} /> },
              {
                head: 'Decision, initials',
                cell: ({ machine, decision }) => (
                  <span class="flow decision">
                    <span class="decision-line">
                      {decision && (
                        <>
                          <strong>{decisionWords[decision.kind]}</strong>{' '}
                          <small>
                            {decision.by} {formatMoment(decision.at, reader.now, reader.zone)}
                          </small>
                        </>
                      )}
                    </span>
                    <span class="buttons screen-only">
                      <Button
                        small
                        aria-label={`Decide for ${nameOf(shop.machines, machine)}`}
                        onClick={() => onDecide(machine)}
                      >
                        Decide …
                      </Button>
                      <Button
                        small
                        aria-label={`Enter a reading on a master for ${nameOf(shop.machines, machine)}`}
                        onClick={() => onMeasure(machine)}
                      >
                        Reading …
                      </Button>
                    </span>
                  </span>
                ),
              },
            ]}
          />
          <p class="flow morning-key">
            {shop.workClasses.map(c => (
              <span key={c.id}>
                {unbroken(
                  `${c.name}: ${formatTolerance(c.tolerance, reader.system)} over ${formatLength(c.featureLength, reader.system)}, ${c.material.name}`,
                )}
              </span>
            ))}
            <span>
              <i class="key-swing" /> swing of the axis that moved most; line: its usual one; then growth overnight by
              axis
            </span>
          </p>
        </>
      )}
    </section>
  )
}
