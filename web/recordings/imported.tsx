import { useState } from 'preact/hooks'
import { formatDateTime, notKnown, type Zone } from '../../core/format.js'
import type { ImportFact } from '../../server/http/schemas/recording.js'
import { useAnswer } from '../answer.js'
import { asCsv, ask, post } from '../api.js'
import { Button } from '../frame/button.js'
import { CardTitle } from '../frame/card.js'
import { CsvLink } from '../frame/csv-link.js'
import { Problem } from '../frame/problem.js'
import { SignedDialog } from '../frame/signed.js'
import { signedColumns, Table } from '../frame/table.js'
import { counted } from '../words.js'

const address = '/api/recording/imports'

const leftOut = ({ rowsRefused, valuesRefused }: NonNullable<ImportFact['ended']>): string =>
  valuesRefused > 0
    ? `${counted(rowsRefused, 'row')}, ${counted(valuesRefused, 'single value')}`
    : counted(rowsRefused, 'row')

/** @param running the newest one is still under way */
const ended = ({ ended, takenBack, left }: ImportFact, running: boolean, zone: Zone): string => {
  if (takenBack)
    return `taken back by ${takenBack.by}, ${formatDateTime(takenBack.at, zone)}${left > 0 ? `; ${left} readings are still to go` : ''}`
  if (!ended) return running ? 'under way' : 'the service ended before it'
  return ended.problem || 'to its end'
}

/** Recordings imported so far. @param about changes when there may be a new one; `running` while one is under way */
export const Imported = ({ about, running, zone }: { about: string; running: boolean; zone: Zone }) => {
  const [going, setGoing] = useState<ImportFact | null>(null)
  const [shrinking, setShrinking] = useState(false)
  const { value, problem, again } = useAnswer(
    async signal => {
      const found = await ask<{ imports: ImportFact[] }>(address, { signal })
      setShrinking(found.imports.some(({ takenBack, left }) => takenBack !== null && left > 0))
      return found
    },
    about,
    shrinking ? 500 : null,
  )
  const imports = value?.imports ?? []
  return (
    <section class="panel" aria-labelledby="imported">
      <CardTitle id="imported" text="Imported so far" about="recordings#what-a-file-may-look-like">
        {imports.length > 0 && <CsvLink href={asCsv(address)} name="imports" text="Imports as CSV" />}
      </CardTitle>
      <Problem text={problem} />
      {value && imports.length === 0 && <p class="empty">Nothing has been imported yet.</p>}
      {imports.length > 0 && (
        <Table
          caption="Imports so far, newest first"
          rows={imports}
          keyOf={({ id }) => id}
          columns={[
            { head: 'Begun', names: true, form: 'nowrap', cell: ({ at }) => formatDateTime(at, zone) },
            { head: 'File', cell: ({ file }) => file || notKnown },
            ['Added', ({ ended }) => ended?.added ?? notKnown],
            ['There before', ({ ended }) => ended?.alreadyThere ?? notKnown],
            { head: 'Left out', cell: ({ ended }) => (ended ? leftOut(ended) : notKnown) },
            { head: 'Ended', cell: (fact, i) => ended(fact, running && i === 0, zone) },
            {
              head: 'Take back',
              plain: 'always',
              cell: (fact, i) =>
                fact.takenBack === null && fact.left > 0 && !(running && i === 0) ? (
                  <Button onClick={() => setGoing(fact)}>Take back …</Button>
                ) : (
                  ''
                ),
            },
            ...signedColumns,
          ]}
        />
      )}
      {going && (
        <SignedDialog
          title={`Take ${going.file || 'the import'} back`}
          noteLabel="Note: why"
          action={`Take ${counted(going.left, 'reading')} back`}
          busyText="Beginning …"
          onSend={async signature => {
            await post(`${address}/${going.id}/take-back`, signature)
            again()
          }}
          onClose={() => setGoing(null)}
        >
          <p>
            The {counted(going.left, 'reading')} that this import added go from charts, studies and exports. What was
            there before, and what came live, stays. That it was imported and taken back stays on record.
          </p>
        </SignedDialog>
      )}
    </section>
  )
}
