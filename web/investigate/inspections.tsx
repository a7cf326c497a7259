import { useEffect, useRef, useState } from 'preact/hooks'
import { formatDateTime, notKnown } from '../../core/format.js'
import type { InspectionChoices } from '../../core/inspection/index.js'
import type { Shop } from '../../core/shop.js'
import type { InspectionImport, InspectionPreview } from '../../server/http/schemas/inspections.js'
import { useAddress } from '../answer.js'
import { Button } from '../frame/button.js'
import { Card } from '../frame/card.js'
import { Done, Problem } from '../frame/problem.js'
import { SignedDialog, TakeBackDialog } from '../frame/signed.js'
import { signedColumns, Table } from '../frame/table.js'
import { counted } from '../words.js'
import { importInspections, previewInspections } from './answers.js'
import { EnterDialog } from './enter-dialog.js'
import { Preview } from './preview.js'

interface Props {
  theShop: Shop
  /** opened when there is nothing else to look at */
  open: boolean
  /** inspections came or went */
  onChange: () => void
}

/** A table that was chosen, and what was understood of it. */
const Sending = ({ theShop, onDone }: { theShop: Shop; onDone: (said: string) => void }) => {
  const [table, setTable] = useState<{ name: string; blob: Blob } | null>(null)
  const [preview, setPreview] = useState<InspectionPreview | null>(null)
  const [problem, setProblem] = useState('')
  const [busy, setBusy] = useState(false)
  const [signing, setSigning] = useState(false)
  const field = useRef<HTMLInputElement>(null)
  const heading = useRef<HTMLHeadingElement>(null)
  const isNew = useRef(false)

  const look = async (name: string, blob: Blob, choices: InspectionChoices | null) => {
    setBusy(true)
    setProblem('')
    try {
      setPreview(await previewInspections(blob, choices))
    } catch (error) {
      setPreview(null)
      setProblem(error instanceof Error ? error.message : String(error))
    }
    setTable({ name, blob })
    setBusy(false)
  }
  // who chose a file by keyboard goes on where it is told what is in it
  useEffect(() => {
    if (preview && isNew.current) heading.current?.focus()
    isNew.current = false
  }, [preview])
  const forget = () => {
    setTable(null)
    setPreview(null)
    setProblem('')
    if (field.current) field.current.value = ''
  }
  const good = preview?.good ?? 0
  return (
    <>
      <label class="field">
        <span>A table of measured parts (CSV)</span>
        <input
          ref={field}
          type="file"
          accept=".csv,.txt,.tsv,text/csv,text/plain"
          onChange={event => {
            const file = event.currentTarget.files?.[0]
            isNew.current = true
            if (file) void look(file.name, file, null)
          }}
        />
      </label>
      <Problem text={problem} />
      {busy && <p role="status">Looking through it …</p>}
      {preview && table && (
        <section class="inspection-preview" aria-labelledby="preview">
          <div class="panel-head">
            <h3 id="preview" ref={heading} tabIndex={-1}>
              What is in {table.name}
            </h3>
            <div class="buttons">
              <Button main disabled={good === 0 || preview.missing.length > 0} onClick={() => setSigning(true)}>
                Take {counted(good, 'part')} …
              </Button>
              <Button onClick={forget}>Forget it</Button>
            </div>
          </div>
          <Preview
            preview={preview}
            theShop={theShop}
            onChoose={choices => void look(table.name, table.blob, choices)}
          />
        </section>
      )}
      {signing && preview && table && (
        <SignedDialog
          title={`Take ${counted(good, 'part')} from ${table.name}`}
          noteLabel="Note: where they come from"
          action={`Take ${counted(good, 'part')}`}
          onSend={async signature => {
            const answer = await importInspections(table.blob, preview.choices, table.name, signature)
            const { added = 0, refused = 0 } = answer.import.ended ?? {}
            onDone(
              `${counted(added, 'part was', 'parts were')} taken from ${table.name}${refused > 0 ? `, ${counted(refused, 'row was', 'rows were')} refused` : ''}.`,
            )
            forget()
          }}
          onClose={() => setSigning(false)}
        >
          <p>
            {preview.refused > 0 && `${counted(preview.refused, 'row is', 'rows are')} refused and left out. `}
            {preview.alreadyThere > 0 &&
              `${counted(preview.alreadyThere, 'row says', 'rows say')} what is on record already. `}
            The import can be taken back as a whole. How its columns were read is remembered for the next table like it.
          </p>
        </SignedDialog>
      )}
    </>
  )
}

const stateOf = ({ takenBack, ended }: InspectionImport, shop: Shop): string => {
  if (takenBack) return `taken back by ${takenBack.by}, ${formatDateTime(takenBack.at, shop)}`
  return ended ? 'counts' : 'not ended'
}

/** Measured parts in: a table, one by hand, and what came so far. */
export const Inspections = ({ theShop, open, onChange }: Props) => {
  const [said, setSaid] = useState('')
  const [entering, setEntering] = useState(false)
  const [back, setBack] = useState<InspectionImport | null>(null)
  const [count, setCount] = useState(0)
  const { value, problem } = useAddress<{ imports: InspectionImport[] }>(
    '/api/inspections/imports?limit=20',
    null,
    String(count),
  )
  const changed = (text: string) => {
    setSaid(text)
    setCount(n => n + 1)
    onChange()
  }
  const imports = value?.imports ?? []
  return (
    <Card class="screen-only" id="inspections" text="Measured parts" about="was-it-heat#measured-parts">
      <details open={open || undefined}>
        <summary>Send a table, or enter one part</summary>
        <div class="inspection-in">
          <p class="quiet">
            The first line holds headings. Needed of each part: part, feature, machine, nominal size, measured size or
            deviation, and when it was cut. Limits, axis, tool and its count, lot, set-up, who and the part’s
            temperature help. Times without a zone are the shop’s. Nothing is stored until you say so.
          </p>
          <Sending theShop={theShop} onDone={changed} />
          <p>
            <Button onClick={() => setEntering(true)}>Enter one part …</Button>
          </p>
        </div>
      </details>
      <Done text={said} />
      <Problem text={problem} />
      {imports.length > 0 && (
        <details>
          <summary>{counted(imports.length, 'import')} so far</summary>
          <Table
            caption="Imports of measured parts, newest first"
            rows={imports}
            keyOf={({ id }) => id}
            columns={[
              { head: 'When', names: true, form: 'nowrap', cell: ({ at }) => formatDateTime(at, theShop) },
              { head: 'File', cell: ({ file }) => file || 'by hand' },
              ['Parts', ({ ended }) => ended?.added ?? notKnown],
              ['Refused', ({ ended }) => ended?.refused ?? notKnown],
              ...signedColumns,
              { head: 'State', cell: each => stateOf(each, theShop) },
              {
                head: 'Take back',
                plain: 'always',
                cell: each =>
                  each.takenBack ? (
                    ''
                  ) : (
                    <Button
                      small
                      aria-label={`Take back ${each.file || 'the part entered by hand'} of ${formatDateTime(each.at, theShop)}`}
                      onClick={() => setBack(each)}
                    >
                      Take back …
                    </Button>
                  ),
              },
            ]}
          />
        </details>
      )}
      {entering && (
        <EnterDialog
          theShop={theShop}
          onDone={() => changed('The part was entered.')}
          onClose={() => setEntering(false)}
        />
      )}
      {back && (
        <TakeBackDialog
          title={`Take ${back.file || 'it'} back`}
          action="Take it back"
          address={`/api/inspections/imports/${back.id}`}
          onDone={() => changed(`${back.file || 'The part'} was taken back.`)}
          onClose={() => setBack(null)}
        >
          <p>All {back.ended?.added ?? ''} parts of it no longer count. That they were there stays on record.</p>
        </TakeBackDialog>
      )}
    </Card>
  )
}
