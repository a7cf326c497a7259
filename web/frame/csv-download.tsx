import { type Cell, csv } from '../../server/csv.js'
import { Button } from './button.js'

interface Props {
  /** of the file, without ending */
  name: string
  /** for those who hear the page: "Sources as CSV" */
  about: string
  columns: readonly string[]
  rows: () => readonly (readonly Cell[])[]
}

/** The numbers of a picture that this page put together, as a file. */
export const CsvDownload = ({ name, about, columns, rows }: Props) => (
  <Button
    small
    class="screen-only"
    aria-label={about}
    onClick={() => {
      const link = document.createElement('a')
      link.href = URL.createObjectURL(new Blob([csv(columns, rows())], { type: 'text/csv' }))
      link.download = `${name}.csv`
      link.click()
      URL.revokeObjectURL(link.href)
    }}
  >
    CSV
  </Button>
)
