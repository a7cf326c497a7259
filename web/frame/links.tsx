import { path, wallHref } from '../place.js'

const pages = [
  { href: '/', text: 'Wall' },
  { href: '/sensors', text: 'Sensors' },
  { href: '/calibration', text: 'Calibration' },
  { href: '/recordings', text: 'Recordings' },
  { href: '/handbook', text: 'Handbook' },
  { href: '/about', text: 'About' },
] as const

export const Links = () => (
  <nav class="links" aria-label="Pages">
    {pages.map(({ href, text }) => (
      <a key={href} href={href === '/' ? wallHref.value : href} aria-current={path.value === href ? 'page' : undefined}>
        {text}
      </a>
    ))}
  </nav>
)
