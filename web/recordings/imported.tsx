import { formatDateTime, notKnown, type Zone } from '../../core/format.js'
import type { ImportFact } from '../../server/http/schemas/recording.js'
import { useAnswer } from '../answer.js'
import { Table } from '../frame/table.js'
import { counted, fetchImports, importsPath } from './recording.js'

const leftOut = ({ rowsRefused, valuesRefused }: NonNullable<ImportFact['ended']>): string =>
  valuesRefused > 0
    ? `${counted(rowsRefused, 'row')}, ${counted(valuesRefused, 'single value')}`
    : counted(rowsRefused, 'row')

/** @param running the newest one is still under way */
const ended = ({ ended }: ImportFact, running: boolean): string => {
  if (!ended) return running ? 'under way' : 'the service ended before it'
  return ended.problem || 'to its end'
}

/** Recordings imported so far. @param about changes when there may be a new one; `running` while one is under way */
export const Imported = ({ about, running, zone }: { about: string; running: boolean; zone: Zone }) => {
  const { value, problem } = useAnswer(fetchImports, about, null)
  const imports = value?.imports ?? []
  return (
    <section class="panel" aria-labelledby="imported">
      <div class="panel-head">
        <h2 id="imported">Imported so far</h2>
        {imports.length > 0 && (
          <a href={importsPath('csv')} download="imports.csv">
            Imports as CSV
          </a>
        )}
      </div>
      {problem && (
        <p class="problem" role="alert">
          {problem}
        </p>
      )}
      {value && imports.length === 0 && <p class="empty">Nothing has been imported yet.</p>}
      {imports.length > 0 && (
        <Table
          caption="Imports so far, newest first"
          rows={imports}
          keyOf={({ id }) => id}
          columns={[
            { head: 'Begun', names: true, form: 'nowrap', cell: ({ at }) => formatDateTime(at, zone) },
            { head: 'File', cell: ({ file }) => file || notKnown },
            { head: 'Added', form: 'number', cell: ({ ended }) => ended?.added ?? notKnown },
            { head: 'There before', form: 'number', cell: ({ ended }) => ended?.alreadyThere ?? notKnown },
            { head: 'Left out', cell: ({ ended }) => (ended ? leftOut(ended) : notKnown) },
            { head: 'Ended', cell: (fact, i) => ended(fact, running && i === 0) },
            { head: 'Who', cell: ({ by }) => by },
            { head: 'Note', form: 'note', cell: ({ note }) => note || notKnown },
          ]}
        />
      )}
    </section>
  )
}
