import { formatDateTime, notKnown } from '../../core/format.js'
import { useAnswer } from '../answer.js'
import { Scrolls } from '../frame/Scrolls.js'
import { counted, fetchImports, type ImportFact, importsPath } from './recording.js'

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
export const Imported = ({ about, running, zone }: { about: string; running: boolean; zone: string }) => {
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
        <Scrolls label="Imports">
          <table class="table">
            <caption class="hidden">Imports so far, newest first</caption>
            <thead>
              <tr>
                <th scope="col">Begun</th>
                <th scope="col">File</th>
                <th scope="col" class="number">
                  Added
                </th>
                <th scope="col" class="number">
                  There before
                </th>
                <th scope="col">Left out</th>
                <th scope="col">Ended</th>
                <th scope="col">Who</th>
                <th scope="col">Note</th>
              </tr>
            </thead>
            <tbody>
              {imports.map((fact, i) => (
                <tr key={fact.id}>
                  <th scope="row" class="nowrap">
                    {formatDateTime(fact.at, zone)}
                  </th>
                  <td>{fact.file || notKnown}</td>
                  <td class="number">{fact.ended?.added ?? notKnown}</td>
                  <td class="number">{fact.ended?.alreadyThere ?? notKnown}</td>
                  <td>{fact.ended ? leftOut(fact.ended) : notKnown}</td>
                  <td>{ended(fact, running && i === 0)}</td>
                  <td>{fact.by}</td>
                  <td class="note">{fact.note || notKnown}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Scrolls>
      )}
    </section>
  )
}
