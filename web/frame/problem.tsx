/** What went wrong, in words, for a screen reader at once; nothing where the text is empty. */
export const Problem = ({ text }: { text: string }) =>
  text ? (
    <p class="problem" role="alert">
      {text}
    </p>
  ) : null
