import { path, wallHref } from '../address.js'

const pages = [
  { href: '/', text: 'Wall' },
  { href: '/morning', text: 'Morning' },
  { href: '/investigate', text: 'Investigate' },
  { href: '/sensors', text: 'Sensors' },
  { href: '/calibration', text: 'Calibration' },
  { href: '/heating', text: 'Heating' },
  { href: '/soak', text: 'Soak' },
  { href: '/records', text: 'Records' },
  { href: '/recordings', text: 'Recordings' },
  { href: '/handbook', text: 'Handbook' },
  { href: '/about', text: 'About' },
] as const

/** a chapter of the handbook, too, is the handbook */
const isAt = (href: string) => path.value === href || path.value.startsWith(`${href}/`)

export const Links = () => (
  <nav class="flow links" aria-label="Pages">
    {pages.map(({ href, text }) => (
      <a key={href} href={href === '/' ? wallHref.value : href} aria-current={isAt(href) ? 'page' : undefined}>
        {text}
      </a>
    ))}
  </nav>
)
