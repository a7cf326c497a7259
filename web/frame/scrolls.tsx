import type { ComponentChildren } from 'preact'

/** A place in which what is too wide, a table as a rule, can be pushed sideways, by keyboard too. */
export const Scrolls = ({ label, children }: { label: string; children: ComponentChildren }) => (
  // biome-ignore lint/a11y/noNoninteractiveTabindex: without it the keyboard could not scroll (WCAG 2.1.1)
  <section class="scrolls" tabIndex={0} aria-label={`Table: ${label}`}>
    {children}
  </section>
)
