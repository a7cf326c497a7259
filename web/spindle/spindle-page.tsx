import { useState } from 'preact/hooks'
import {
  formatDateTime,
  formatFineGrowth,
  formatSpeed,
  notKnown,
  type UnitSystem,
  type Zone,
} from '../../core/format.js'
import { saySpindleWarning, sayTimeConstant } from '../../core/sentences/index.js'
import type { Machine } from '../../core/shop.js'
import type { SpindleAnswer, SpindleFit } from '../../core/spindle/index.js'
import { query } from '../address.js'
import { useAddress } from '../answer.js'
import { asCsv, machinePath } from '../api.js'
import { Card, CardTitle } from '../frame/card.js'
import { machinePage } from '../frame/machine-frame.js'
import { Problem } from '../frame/problem.js'
import { TakeBackDialog } from '../frame/signed.js'
import { signedColumns, Table } from '../frame/table.js'
import { machines, now, stoppedKind } from '../live/state.js'
import { units } from '../preferences.js'
import { addressOf } from '../routes.js'
import { BySpeed, OverTime } from './charts.js'
import { EnterDialog } from './enter-dialog.js'
import { SpindleNow } from './now-card.js'
import './spindle.css'
import { Button } from '../frame/button.js'
import { CsvLink } from '../frame/csv-link.js'

type Test = SpindleAnswer['tests'][number]

/** "+37.1 µm ± 0.3 µm" */
const withInterval = ({ growth, halfInterval }: { growth: number; halfInterval: number | null }, system: UnitSystem) =>
  `${formatFineGrowth(growth, system)} ± ${halfInterval === null ? 'not known' : formatFineGrowth(halfInterval, system, 'plain')}`

const variationWords: Record<SpindleFit['variation'], string> = {
  alike: 'the same upwards and back down, at every speed',
  'by direction': 'longer on the way down than up',
  'by speed': 'shorter the faster it turns',
}

const Steady = ({ fit }: { fit: SpindleFit }) => (
  <>
    <Table
      caption="Steady growth and time constants by speed"
      rows={fit.steady}
      keyOf={({ speed }) => speed}
      columns={[
        { head: 'Speed', form: 'nowrap', names: true, cell: ({ speed }) => formatSpeed(speed) },
        ['Steady growth (90 %)', each => <strong>{withInterval(each, units.value)}</strong>],
        { head: 'Time constants, warming', cell: ({ heating }) => heating.map(sayTimeConstant).join(' and ') },
        { head: 'Cooling', cell: ({ cooling }) => cooling.map(sayTimeConstant).join(' and ') },
        { head: 'Long enough', cell: ({ settled }) => (settled ? 'yes' : 'no: ended on its way') },
      ]}
    />
    <p class="quiet">
      {fit.parts === 1
        ? 'One time constant describes it'
        : 'Two time constants describe it (a fast part, mostly the bearings, and a slow one, the housing)'}
      , {variationWords[fit.variation]}.{' '}
      {`A reading scatters by ${formatFineGrowth(fit.scatter, units.value, 'plain')}; what the law leaves undescribed is ${formatFineGrowth(fit.misfit, units.value, 'plain')}, both standard.`}
    </p>
  </>
)

/** What a test found against the one before it, in words. */
const changeWords = ({ changes }: Test, system: UnitSystem): string => {
  if (changes.length === 0) return notKnown
  const changed = changes.filter(each => each.changed)
  if (changed.length === 0) return 'unchanged, as far as both tell'
  return changed.map(({ speed, change }) => `${formatFineGrowth(change, system)} at ${formatSpeed(speed)}`).join(', ')
}

const Tests = ({
  machine,
  value,
  zone,
  again,
}: {
  machine: Machine
  value: SpindleAnswer
  zone: Zone
  again: () => void
}) => {
  const system = units.value
  const [back, setBack] = useState<Test | null>(null)
  return (
    <Card id="spindle-tests" text="Tests on record" about="spindle#tests-on-record">
      <Table
        caption="Growth tests, newest first"
        rows={value.tests}
        keyOf={({ id }) => id}
        columns={[
          {
            head: 'When',
            form: 'nowrap',
            names: true,
            cell: ({ id, at }) =>
              id === value.shown?.test.id ? (
                <strong>{formatDateTime(at, zone)}, shown</strong>
              ) : (
                <a href={`${addressOf('spindle', machine.id)}?test=${id}`}>{formatDateTime(at, zone)}</a>
              ),
          },
          {
            head: 'Most',
            cell: ({ steady }) =>
              steady?.length
                ? `${withInterval(steady.at(-1)!, system)} at ${formatSpeed(steady.at(-1)!.speed)}`
                : 'cannot be fitted',
          },
          { head: 'Against the one before', cell: test => changeWords(test, system) },
          ['Readings', ({ readings }) => readings],
          { head: 'Read with', cell: ({ readWith }) => readWith },
          ...signedColumns,
          {
            head: 'Take back',
            form: 'number',
            plain: 'always',
            cell: test => (
              <Button
                small
                aria-label={`Take back the test of ${formatDateTime(test.at, zone)}`}
                onClick={() => setBack(test)}
              >
                Take back …
              </Button>
            ),
          },
        ]}
      />
      {back && (
        <TakeBackDialog
          title={`Take back the test of ${formatDateTime(back.at, zone)}`}
          address={machinePath(machine.id, `spindle/${back.id}`)}
          onDone={again}
          onClose={() => setBack(null)}
        >
          <p>It no longer counts, and stays on record.</p>
        </TakeBackDialog>
      )}
    </Card>
  )
}

const Content = ({ machine, shop: zone }: { machine: Machine; shop: Zone }) => {
  const system = units.value
  const asked = query.value.get('test')
  const address = machinePath(machine.id, 'spindle', asked ? { test: asked } : {})
  const { value, problem, again } = useAddress<SpindleAnswer>(address)
  const [entering, setEntering] = useState(false)
  const shown = value?.shown ?? null
  const spindle = stoppedKind.value === null ? machines.value.get(machine.id)?.spindle : undefined
  const reader = { system, zone, now: now.value ?? Date.now() }
  return (
    <>
      {spindle && <SpindleNow machine={machine.id} spindle={spindle} zone={zone} />}
      <section class="panel" aria-labelledby="growth-test">
        <CardTitle id="growth-test" text="Growth test" about="spindle#a-growth-test">
          {shown && (
            <p class="quiet">
              Test of {formatDateTime(shown.test.at, zone)}
              {shown.test.test.toolLength !== null && `, tool ${(shown.test.test.toolLength * 1000).toFixed(0)} mm`}.
              Positive: the spindle is longer.{' '}
              <CsvLink href={asCsv(machinePath(machine.id, 'spindle', { test: shown.test.id }))} name="growth-test" />
            </p>
          )}
        </CardTitle>
        <div class="buttons">
          <a class="button is-main" href={addressOf('spindleTest', machine.id)}>
            Run a test, guided
          </a>
          <Button onClick={() => setEntering(true)}>Enter a test that was run …</Button>
        </div>
        <Problem text={problem} />
        {value && !shown && (
          <p class="empty">
            None on record. A spindle’s length follows every change of its speed; a test shows how far, and how long
            that takes.
          </p>
        )}
        {shown?.warnings.map(warning => {
          const { text, more } = saySpindleWarning(warning, reader)
          return (
            <p
              key={text}
              class={warning.kind === 'too short' || warning.kind === 'outliers' ? 'notice' : 'problem'}
              role="note"
            >
              <strong>{text}.</strong> {more}
            </p>
          )
        })}
        {shown?.fit && (
          <>
            <div class="stack spindle-charts">
              <OverTime shown={shown} fit={shown.fit} />
              <BySpeed shown={shown} fit={shown.fit} tests={value!.tests} zone={zone} />
            </div>
            <Steady fit={shown.fit} />
          </>
        )}
      </section>
      {value && value.tests.length > 0 && <Tests machine={machine} value={value} zone={zone} again={again} />}
      {entering && <EnterDialog machine={machine} zone={zone} onDone={again} onClose={() => setEntering(false)} />}
    </>
  )
}

/** How a machine's spindle grows: its tests, and what they say. */
export const SpindlePage = machinePage('spindle', Content)
