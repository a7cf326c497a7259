/**
 * The addresses of pages: the service answers each of them with the same document, which looks here at which page it is.
 * Plain data, because the service and the browser both read it. `:id` and `:chapter` stand for one part of an address.
 */
export const routes = {
  wall: '/',
  morning: '/morning',
  investigate: '/investigate',
  machine: '/machine/:id',
  ahead: '/machine/:id/ahead',
  history: '/machine/:id/history',
  happened: '/machine/:id/happened',
  budget: '/machine/:id/budget',
  model: '/machine/:id/model',
  environment: '/machine/:id/environment',
  alignment: '/machine/:id/alignment',
  spindle: '/machine/:id/spindle',
  spindleTest: '/machine/:id/spindle/test',
  toolPlan: '/machine/:id/tool-plan',
  sensors: '/sensors',
  calibration: '/calibration',
  heating: '/heating',
  soak: '/soak',
  records: '/records',
  recordings: '/recordings',
  about: '/about',
  handbook: '/handbook',
  chapter: '/handbook/:chapter',
} as const

export type Route = keyof typeof routes

/** what a machine is looked at for, in the order of their links */
export const machineViews = [
  'machine',
  'ahead',
  'history',
  'happened',
  'budget',
  'model',
  'environment',
  'alignment',
  'spindle',
  'toolPlan',
] as const
export type MachineView = (typeof machineViews)[number]

const decoded = (part: string): string => {
  try {
    return decodeURIComponent(part)
  } catch {
    return part
  }
}

/**
 * @param path of an address, with or without a slash at its end
 * @returns which page it is, and what stands in the place of `:id` or `:chapter` (empty where there is none); null when
 *   no page lies there
 */
export const routeOf = (path: string): { route: Route; part: string } | null => {
  for (const [route, pattern] of Object.entries(routes)) {
    const match = new RegExp(`^${pattern.replace(/:[a-z]+/, '([^/]+)').replace(/\/$/, '')}/?$`).exec(path)
    if (match) return { route: route as Route, part: decoded(match[1] ?? '') }
  }
  return null
}

/** The address of a page. @param part what stands in the place of `:id` or `:chapter` */
export const addressOf = (route: Route, part = ''): string => routes[route].replace(/:[a-z]+/, encodeURIComponent(part))
