interface Props {
  href: string
  /** of the file, without ending */
  name: string
  /** for those who hear the page, where the text alone does not say it */
  about?: string
  text?: string
}

/** A table that the service answers with, as a file. */
export const CsvLink = ({ href, name, about, text = 'CSV' }: Props) => (
  <a href={href} download={`${name}.csv`} aria-label={about}>
    {text}
  </a>
)
