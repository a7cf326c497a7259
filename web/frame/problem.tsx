/** What went wrong, in words, for a screen reader at once; nothing where the text is empty. */
export const Problem = ({ text }: { text: string }) =>
  text ? (
    <p class="problem" role="alert">
      {text}
    </p>
  ) : null

/** What was just done, in words, for a screen reader at once. */
export const Done = ({ text }: { text: string }) => (
  <p role="status" class={text ? '' : 'hidden'}>
    <strong>{text}</strong>
  </p>
)
