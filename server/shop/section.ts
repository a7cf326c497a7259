import { z } from 'zod'
import { nearestNames } from '../../core/nearest.js'
import type { Parsed } from '../../core/units.js'

/**
 * What the shop file's schema is made of. Everything is zod, so that every mistake comes with its path and none hides
 * another; beside its message each mistake carries what would be right, and whether the key or the value is to blame.
 */
export interface Blame {
  remedy: string
  /** the key itself is wrong, not what stands behind it */
  key?: boolean
  /** there is no such key, but there should be */
  missing?: boolean
}

/** Understands one value of the file; `undefined` when the key is not there. */
export type Reader<T> = (raw: unknown) => Parsed<T>

type Say = (what: string, blame: Blame, path?: string[]) => never

/** What a schema makes of a value; its mistakes are told as they would be at `path` below the value that is looked at. */
type Take = <T>(schema: z.ZodType<T>, raw: unknown, path?: string[]) => T

/** What a schema has made of a value is looked at by a function of our own, which may find several mistakes. */
export const checked = <In, T>(first: z.ZodType<In>, look: (read: In, say: Say, take: Take) => T) =>
  first.transform((read, context): T => {
    const say: Say = (message, blame, path = []) => {
      context.addIssue({ code: 'custom', message, path, params: { ...blame } })
      return z.NEVER
    }
    const take: Take = (schema, below, path = []) => {
      const result = schema.safeParse(below)
      if (result.success) return result.data
      for (const { message, path: further, ...issue } of result.error.issues)
        context.addIssue({
          code: 'custom',
          message,
          path: [...path, ...further],
          params: 'params' in issue ? issue.params : {},
        })
      return z.NEVER
    }
    return look(read, say, take)
  })

/** A value as it stands in the file, looked at so. */
export const looked = <T>(look: (raw: unknown, say: Say, take: Take) => T) => checked(z.unknown(), look)

/** A value understood by one reader. */
export const value = <T>(read: Reader<T>) =>
  looked<T>((raw, say) => {
    const parsed = read(raw)
    return 'value' in parsed ? parsed.value : say(parsed.problem, { missing: raw === undefined, remedy: parsed.remedy })
  })

export const isMap = (raw: unknown): raw is Record<string, unknown> =>
  typeof raw === 'object' && raw !== null && !Array.isArray(raw)

/** The keys of a section as they are written, unchecked; none where there is no section. */
export const keysIn = (raw: unknown): Record<string, unknown> => (isMap(raw) ? raw : {})

/** What stands in the file, in words: `"5"`, `a list`, `nothing`. */
export const inWords = (raw: unknown): string => {
  if (raw === null || raw === undefined) return 'nothing'
  if (Array.isArray(raw)) return 'a list'
  return typeof raw === 'object' ? 'a section with keys' : `"${raw}"`
}

/** "did you mean travel?", or all there is to choose from. */
export const suggestion = (written: string, names: readonly string[], ofWhat: string): string => {
  const near = nearestNames(written, names)
  if (near.length > 0) return `did you mean ${near.map(name => `"${name}"`).join(' or ')}?`
  return names.length > 0 ? `${ofWhat}: ${names.join(', ')}` : `there is none yet; add it first`
}

/** A key of the file as the shop has it: "zeroed at" is zeroedAt. */
type Name<Key> = Key extends `${infer First} ${infer Rest}`
  ? Name<`${First}${Capitalize<Rest>}`>
  : Key extends `${infer First}-${infer Rest}`
    ? Name<`${First}${Capitalize<Rest>}`>
    : Key
const nameOf = (key: string): string => key.replace(/[ -](\w)/g, (_, letter: string) => letter.toUpperCase())

type Section<Shape extends z.ZodRawShape> = { [Key in keyof Shape as Name<Key>]: z.output<Shape[Key]> }

/**
 * A section with fixed keys. Unknown keys are mistakes, each reported by itself.
 *
 * @param shape     a schema for each key
 * @param elsewhere keys that have their meaning in another place, and which that is
 * @returns what its keys say, under the names that the shop has for them; of a key that says nothing there is none
 */
export const section = <Shape extends z.ZodRawShape>(shape: Shape, elsewhere: Record<string, string> = {}) => {
  const keys = Object.keys(shape)
  // key by key rather than by z.object, which compiles code for every shape and so doubles the time for a file read once
  return looked<Section<Shape>>((raw, say, take) => {
    if (!isMap(raw))
      return say(`${inWords(raw)} is written where a section with keys is expected`, {
        missing: raw === undefined,
        remedy: `write its keys below it: ${keys.join(', ')}`,
      })
    const meant: string[] = []
    for (const key of Object.keys(raw)) {
      if (Object.hasOwn(shape, key)) continue
      const left = keys.filter(each => raw[each] === undefined)
      const remedy =
        elsewhere[key] ?? suggestion(key, nearestNames(key, left).length > 0 ? left : keys, 'the keys here are')
      if (!elsewhere[key]) meant.push(...nearestNames(key, left, 1))
      say(`the key "${key}" is not known here`, { key: true, remedy }, [key])
    }
    const sound: Record<string, unknown> = {}
    for (const key of keys) {
      // a misspelt key is one mistake, not an unknown key and a missing one
      if (raw[key] === undefined && meant.includes(key)) continue
      // a key left out goes to its schema as undefined: what that means is the schema's to say
      const own = take(shape[key] as z.ZodType, raw[key], [key])
      if (own !== undefined) sound[nameOf(key)] = own
    }
    return sound as Section<Shape>
  })
}

/** A schema chosen by what is written: a screw or a scale, a body or the air. */
export const picked = <T>(choose: (raw: unknown) => z.ZodType<T>) =>
  looked<T>((raw, _say, take) => take(choose(raw), raw))

/**
 * A section whose keys are names the shop gives: machines, nodes, sensors. Keeps their order.
 *
 * @param what  one of them, in words with its article: "a machine"
 * @param valid what such a name must look like
 * @param entry the schema of the entry with that name
 */
export const named = <T>(what: string, valid: RegExp, spelling: string, entry: (id: string) => z.ZodType<T>) =>
  looked<T[]>((raw, say, take) => {
    if (!isMap(raw))
      return say(`${inWords(raw)} is written where names are expected, one for each`, {
        missing: raw === undefined,
        remedy: `write the name of ${what} as a key, and what belongs to it below`,
      })
    return Object.entries(raw).map(([id, each]) => {
      if (!valid.test(id)) say(`"${id}" cannot be the name of ${what}`, { key: true, remedy: spelling }, [id])
      return take(entry(id), each, [id])
    })
  })

/** The same, where an empty section makes no sense. */
export const atLeastOne = <T>(schema: z.ZodType<T[]>, what: string) =>
  looked<T[]>((raw, say, take) =>
    isMap(raw) && Object.keys(raw).length === 0
      ? say(`there is no ${what}`, { remedy: `describe at least one ${what}` })
      : take(schema, raw),
  )

/** The same list, or nothing where it is empty. */
export const unlessEmpty = <T>(schema: z.ZodType<T[]>) => schema.transform(all => (all.length > 0 ? all : undefined))

/** A list of equal things; nothing written is an empty list. */
export const list = <T>(item: z.ZodType<T>, example: string) =>
  looked<T[]>((raw, say, take) => {
    if (raw === undefined) return []
    if (!Array.isArray(raw)) return say(`${inWords(raw)} is written where a list is expected`, { remedy: example })
    return raw.map((each, index) => take(item, each, [String(index)]))
  })
