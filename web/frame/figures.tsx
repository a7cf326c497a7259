import type { ComponentChildren } from 'preact'

/** What it is, and the figure; words are written smaller. */
type Figure = readonly [what: ComponentChildren, figure: ComponentChildren, form?: 'is-words']

/** A few figures that matter, side by side. */
export const Figures = ({ of }: { of: readonly Figure[] }) => (
  <dl class="figures">
    {of.map(([what, figure, form], i) => (
      <div key={i}>
        <dt>{what}</dt>
        <dd class={form}>{figure}</dd>
      </div>
    ))}
  </dl>
)
