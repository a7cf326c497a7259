import { computed, effect, signal } from '@preact/signals'

/**
 * The page's address. It holds what is shown, so that a page can be sent to somebody, set as a screen's start
 * page, or reloaded without losing anything.
 */
const url = signal(new URL(location.href))

export const path = computed(() => url.value.pathname)
export const query = computed(() => url.value.searchParams)

export const go = (href: string, how: 'push' | 'replace' = 'push'): void => {
  const next = new URL(href, location.href)
  if (next.href === url.value.href) return
  if (how === 'push') history.pushState(null, '', next)
  else history.replaceState(null, '', next)
  const samePage = next.pathname === url.value.pathname
  url.value = next
  if (samePage) return
  if (!next.hash) window.scrollTo(0, 0)
  // a screen reader hears the new page's name
  requestAnimationFrame(() => document.querySelector<HTMLElement>('h1')?.focus({ preventScroll: true }))
}

/** where the wall was left, with its work class and rotation */
export const wallHref = signal('/')
effect(() => {
  if (url.value.pathname === '/') wallHref.value = `/${url.value.search}`
})

/** changes parameters of the present page; null removes one */
export const setQuery = (changes: Record<string, string | null>, how: 'push' | 'replace' = 'replace'): void => {
  const next = new URL(url.value)
  for (const [key, value] of Object.entries(changes)) {
    if (value === null || value === '') next.searchParams.delete(key)
    else next.searchParams.set(key, value)
  }
  go(next.href, how)
}

window.addEventListener('popstate', () => {
  url.value = new URL(location.href)
})

// plain links work: those that stay on these pages do not load them anew
document.addEventListener('click', event => {
  if (event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey)
    return
  const link = (event.target as Element | null)?.closest?.('a')
  if (!link || link.target || link.hasAttribute('download') || link.origin !== location.origin) return
  if (link.pathname.startsWith('/api/')) return
  if (link.hash && link.pathname === location.pathname) return
  event.preventDefault()
  go(link.href)
})
