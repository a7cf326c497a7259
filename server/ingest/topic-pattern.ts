/** A topic with named parts, as the shop file writes it: `plant/{sensor}/temperature`. */
interface TopicPattern {
  /** the MQTT topic filter that brings all it can match, and perhaps more */
  filter: string
  /** names of the parts, in order */
  parts: string[]
  /** what a topic must match */
  expression: RegExp
  /** @returns what stands at each part; `undefined` when the topic does not fit */
  match(topic: string): Record<string, string> | undefined
}

/** one part, which begins and ends anywhere within one level */
const part = /\{([^{}]*)\}/g

const literal = (text: string): string => text.replace(/[\\^$.*+?()[\]{}|]/g, '\\$&')

/** names within braces, in order: of a pattern, or of the text that a sensor's name is made by */
export const partNames = (text: string): string[] => [...text.matchAll(part)].map(found => found[1]!)

/** @param pattern as the shop file's checks let it pass: at most one part a level, each name once */
export const topicPattern = (pattern: string): TopicPattern => {
  const parts = partNames(pattern)
  const levels = pattern.split('/')
  const expression = new RegExp(`^${levels.map(level => level.split(part).map(pieces).join('')).join('/')}$`, 'u')
  return {
    filter: levels.map(level => (level.includes('{') ? '+' : level)).join('/'),
    parts,
    expression,
    match(topic) {
      const found = expression.exec(topic)
      return found ? Object.fromEntries(parts.map((name, index) => [name, found[index + 1]!])) : undefined
    },
  }
}

/** split by a pattern with a group, every second piece is the group: a part's name */
const pieces = (piece: string, index: number): string => (index % 2 === 1 ? '([^/]+)' : literal(piece))

/** the text with its parts put in */
export const filledIn = (text: string, values: Readonly<Record<string, string>>): string =>
  text.replace(part, (_, name: string) => values[name] ?? '')

/**
 * Whether a subscription brings a topic.
 *
 * @param topic a topic, or another filter, which is then covered whole
 * @see MQTT 5.0, 4.7 Topic Names and Topic Filters (only the wildcards that we use ourselves: +)
 */
export const covers = (filter: string, topic: string): boolean => {
  const wanted = filter.split('/')
  const levels = topic.split('/')
  // a wildcard at the beginning does not bring the broker's own topics
  if (wanted[0] === '+' && topic.startsWith('$')) return false
  return wanted.length === levels.length && wanted.every((level, index) => level === '+' || level === levels[index])
}
