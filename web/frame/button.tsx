import type { ComponentProps } from 'preact'

interface Props extends Omit<ComponentProps<'button'>, 'class' | 'type'> {
  small?: boolean
  /** what is done next, as a rule */
  main?: boolean
  class?: string
}

/** A button that sends no form. */
export const Button = ({ small, main, class: more, ...button }: Props) => (
  <button
    {...button}
    type="button"
    class={['button', small && 'is-small', main && 'is-main', more].filter(Boolean).join(' ')}
  />
)
