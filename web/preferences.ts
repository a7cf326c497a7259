import { computed, effect, signal } from '@preact/signals'
import type { UnitSystem } from '../core/format.js'
import { query } from './address.js'

/**
 * What a person prefers on this screen: units and light or dark. Remembered by the browser; a screen without anybody
 * to press a switch can have them in its address (`?units=inch&theme=dark`), which then rules.
 */
export type Theme = 'system' | 'light' | 'dark'

const remembered = (key: string): string | null => {
  try {
    return localStorage.getItem(key)
  } catch {
    return null // storage is forbidden: the preference lives as long as the page
  }
}

export const remember = (key: string, value: string): void => {
  try {
    localStorage.setItem(key, value)
  } catch {
    // see above
  }
}

export const recall = (key: string): string => remembered(key) ?? ''

const first = (name: string): string | null => query.peek().get(name) ?? remembered(name)

const choices = ['metric', 'inch'] as const
const chosen = signal<(typeof choices)[number] | null>(choices.find(each => each === first('units')) ?? null)
/** those of the shop file: they hold until somebody chooses others, and tell how its inches are written */
export const shopUnits = signal<UnitSystem>('metric')
const shopInch = computed(() => (shopUnits.value === 'metric' ? 'inch' : shopUnits.value))
export const units = computed<UnitSystem>(() => {
  if (chosen.value === null) return shopUnits.value
  return chosen.value === 'metric' ? 'metric' : shopInch.value
})

const themes: readonly Theme[] = ['system', 'light', 'dark']
export const theme = signal<Theme>(themes.find(t => t === first('theme')) ?? 'system')

export const setUnits = (next: (typeof choices)[number]): void => {
  chosen.value = next
  remember('units', next)
}

export const setTheme = (next: Theme): void => {
  theme.value = next
  remember('theme', next)
}

const systemDark = matchMedia('(prefers-color-scheme: dark)')
const systemIsDark = signal(systemDark.matches)
systemDark.addEventListener('change', event => {
  systemIsDark.value = event.matches
})

/** true when the page is dark now, for what is drawn on a canvas */
export const isDark = signal(false)

effect(() => {
  document.documentElement.dataset.theme = theme.value
  isDark.value = theme.value === 'dark' || (theme.value === 'system' && systemIsDark.value)
})
