import { useEffect, useState } from 'preact/hooks'
import { formatOffset } from '../../core/format.js'
import type { Shop } from '../../core/shop.js'
import type { TogetherWhere } from '../../core/state.js'
import type { CheckAnswer, CheckedSensor, RecordedChange } from '../../server/http/schemas/calibration.js'
import { query, setQuery } from '../address.js'
import { useAddress, useAnswer } from '../answer.js'
import { asCsv, ask, path, post } from '../api.js'
import { Card, CardTitle } from '../frame/card.js'
import { Heading, shopPage } from '../frame/frame.js'
import { FromTo } from '../frame/from-to.js'
import { Done, Problem } from '../frame/problem.js'
import { SignedDialog, TakeBackDialog } from '../frame/signed.js'
import { Choice } from '../frame/switches.js'
import { now } from '../live/state.js'
import { units } from '../preferences.js'
import { onOneMachine, readSensors, readStretch, stretchAt, stretches, writtenSensors } from './choice.js'
import { Record } from './record.js'
import { Result } from './result.js'
import { SensorPicker } from './sensor-picker.js'
import './calibration.css'
import { Button } from '../frame/button.js'
import { CsvLink } from '../frame/csv-link.js'
import { SelectField } from '../frame/fields.js'

/** where sensors can have been at one temperature together; nothing is chosen for anybody */
const places: readonly { value: TogetherWhere; text: string }[] = [
  { value: 'box', text: 'in a closed box' },
  { value: 'bath', text: 'in a stirred bath' },
  { value: 'side by side', text: 'wrapped side by side' },
  { value: 'as mounted', text: 'as mounted, on one machine' },
]

/** @param sensors ids with commas between, or "all" */
const checkPath = (sensors: string, { from, to }: { from: number; to: number }) =>
  path('/api/calibration/check', { sensors, from, to })
const offsetsPath = '/api/calibration/offsets'

type Open = { what: 'accept'; sensors: CheckedSensor[] } | { what: 'take back'; change: RecordedChange } | null

const Content = ({ shop }: { shop: Shop }) => {
  const system = units.value
  const zone = shop
  const stretch = readStretch(query.value)
  const chosen = readSensors(query.value, shop)
  const asked = writtenSensors(chosen, shop)
  const enough = chosen.size >= 3
  const [typed, setTyped] = useState(stretch.id === 'fixed')
  useEffect(() => setTyped(stretch.id === 'fixed'), [stretch.id])
  const [open, setOpen] = useState<Open>(null)
  const [where, setWhere] = useState<TogetherWhere | ''>('')
  const [done, setDone] = useState('')
  // the service's time; until it is known, the question waits
  const known = now.value !== null
  const range = () => stretchAt(stretch, now.peek() ?? Date.now(), zone)
  const check = useAnswer(
    async signal => (enough && known ? ask<CheckAnswer>(checkPath(asked, range()), { signal }) : null),
    JSON.stringify([asked, stretch, known]),
  )
  const record = useAddress<{ changes: RecordedChange[] }>(offsetsPath)
  const { value } = check
  const mounted = value !== null && value.stillMounted.length > 0
  const acceptable = value?.still === true && (!mounted || onOneMachine(chosen, shop))
  const proposals = acceptable ? value.sensors.filter(s => s.proposed !== null) : []
  const finished = (words: string) => {
    setDone(words)
    check.again()
    record.again()
  }
  const close = () => setOpen(null)

  return (
    <>
      <Heading text="Common-temperature check">
        How sensors agree when all of them have one temperature · <a href="/sensors">Sensors page</a>
      </Heading>

      <Card id="compared" text="What is compared" about="measuring#common-temperature-check">
        <p>
          Only sensors at <strong>one common temperature</strong> can be compared: all together in a closed box, in a
          stirred bath or wrapped side by side in one still place, for two hours or a night. Sensors on machines may
          really differ: a screw that is warmer than its bed is no error, and a “correction” of it would hide what the
          service is there to see. An error that all share shows nowhere here; for that, one of them must be calibrated.
        </p>
        <div class="period-bar">
          <div class="flow period-row">
            <span class="period-label">Time together</span>
            <Choice
              legend="Time together"
              value={typed ? 'fixed' : stretch.id}
              options={stretches}
              onChange={id => {
                setTyped(id === 'fixed')
                if (id !== 'fixed') setQuery({ period: id, from: null, to: null })
              }}
            />
          </div>
          {typed && <FromTo range={range()} zone={zone} onShow={(from, to) => setQuery({ period: null, from, to })} />}
        </div>
        <SensorPicker shop={shop} chosen={chosen} />
      </Card>

      <section class="panel" aria-labelledby="result">
        <CardTitle id="result" text="Result" about="measuring#common-temperature-check">
          {proposals.length > 1 && (
            <Button onClick={() => setOpen({ what: 'accept', sensors: proposals })}>
              Accept all {proposals.length} proposed …
            </Button>
          )}
        </CardTitle>
        <Done text={done} />
        <Problem text={check.problem} />
        {!enough && <p class="empty">Choose three sensors at least: the median of fewer says nothing.</p>}
        {enough && !value && !check.problem && <p class="empty">Comparing …</p>}
        {value && (
          <>
            <Result
              answer={value}
              zone={zone}
              acceptable={acceptable}
              onAccept={sensors => setOpen({ what: 'accept', sensors })}
            />
            <p class="quiet">
              Against the median of all, mean of twelve parts of the period; the uncertainty is expanded (k = 2), from
              the spread of those parts and the steps the sensors read in. What is further from zero than its
              uncertainty is proposed for correction.{' '}
              <CsvLink href={asCsv(checkPath(asked, value))} name="check" text="Result as CSV" />
            </p>
          </>
        )}
      </section>

      <section class="panel" aria-labelledby="record">
        <CardTitle id="record" text="Old and new values" about="measuring#common-temperature-check">
          {record.value && record.value.changes.length > 0 && (
            <CsvLink href={asCsv(offsetsPath)} name="offsets" text="Record as CSV" />
          )}
        </CardTitle>
        <p class="quiet">
          An accepted offset takes the place of the shop file’s from then on, for every computation, also of earlier
          readings, which stay stored as they were measured. Nothing here is ever changed or deleted.
        </p>
        <Problem text={record.problem} />
        {record.value?.changes.length === 0 && (
          <p class="empty">No correction was accepted yet: the shop file’s offsets hold.</p>
        )}
        {record.value && record.value.changes.length > 0 && (
          <Record
            changes={record.value.changes}
            zone={zone}
            onTakeBack={change => setOpen({ what: 'take back', change })}
          />
        )}
      </section>

      {open?.what === 'accept' && value && (
        <SignedDialog
          title={
            open.sensors.length === 1 ? `Correct ${open.sensors[0]!.name}` : `Correct ${open.sensors.length} sensors`
          }
          action="Accept"
          busyText="Accepting …"
          onSend={async signature => {
            const accept = open.sensors.flatMap(s =>
              s.proposed === null ? [] : [{ sensor: s.sensor, offset: s.proposed }],
            )
            if (where === '') throw new Error('Say where the sensors were together.')
            await post(offsetsPath, { ...signature, sensors: asked, where, from: value.from, to: value.to, accept })
            finished(accept.length === 1 ? 'The new offset is in force.' : `${accept.length} new offsets are in force.`)
          }}
          onClose={close}
        >
          <SelectField
            label="Where they were together"
            required
            value={where}
            options={[
              { value: '', text: 'choose …' },
              ...places.filter(each => !mounted || each.value === 'as mounted'),
            ]}
            onChange={setWhere}
          />
          <ul class="accepted">
            {open.sensors.map(s => (
              <li key={s.sensor}>
                {s.name}: {formatOffset(s.offset, system)} becomes <strong>{formatOffset(s.proposed, system)}</strong>
              </li>
            ))}
          </ul>
          <p>
            Accept only if these sensors really were at one temperature together. It changes temperatures, growth and
            verdicts at once, stays on record and can be taken back.
          </p>
        </SignedDialog>
      )}
      {open?.what === 'take back' && (
        <TakeBackDialog
          title={`Take back the offset of ${open.change.name}`}
          address={`${offsetsPath}/${open.change.id}`}
          onDone={() => finished('The offset that held before is in force again.')}
          onClose={close}
        >
          <p>
            {formatOffset(open.change.newOffset, system)} no longer holds; the offset before it does. Both stay on
            record.
          </p>
        </TakeBackDialog>
      )}
    </>
  )
}

export const CalibrationPage = shopPage('Common-temperature check', Content)
