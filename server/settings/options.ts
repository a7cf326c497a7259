import { parseArgs } from 'node:util'
import { z } from 'zod'
import { nearestNames } from '../../core/nearest.js'

/** One option of a command: on the command line, in the environment, or as it is when nobody says anything. */
export interface CommandOption {
  /** "port" for --port */
  name: string
  /** what stands for its value in the help; absent when it takes none */
  value?: string
  /** name in the environment, which the command line goes before; absent when there is none */
  environment?: string
  /** as written when not given */
  otherwise?: string
  /** for the help; one or two lines */
  about: string
}

export interface Command {
  /** "npm start --" */
  call: string
  about: string
  options: readonly CommandOption[]
  /** further lines at the end of the help */
  after?: readonly string[]
}

export type Environment = Readonly<Record<string, string | undefined>>

export type Outcome<Settings> =
  | { kind: 'settings'; settings: Settings }
  | { kind: 'help'; text: string }
  /** what was wrong, one sentence each, all of it */
  | { kind: 'problems'; problems: string[] }

/**
 * Reads the settings of a command.
 *
 * @param schema of an object of texts, one for each option by its name (`true` for one without a value)
 * @param argv   without the program's own name
 */
export const readSettings = <Settings>(
  command: Command,
  schema: z.ZodType<Settings>,
  argv: readonly string[],
  environment: Environment,
): Outcome<Settings> => {
  const { given, problems } = readCommandLine(command, argv)
  if (given.has('help')) return { kind: 'help', text: helpText(command) }

  const texts: Record<string, string | true> = {}
  const origin = new Map<string, string>()
  for (const { name, environment: variable, otherwise } of command.options) {
    const fromEnvironment = variable ? environment[variable]?.trim() : undefined
    const value = given.get(name) ?? (fromEnvironment || otherwise)
    if (value === undefined) continue
    texts[name] = value
    origin.set(name, given.has(name) || !fromEnvironment ? `--${name}` : `${variable} in the environment`)
  }

  const parsed = schema.safeParse(texts)
  if (parsed.success && problems.length === 0) return { kind: 'settings', settings: parsed.data }
  for (const { path, message } of parsed.error?.issues ?? []) {
    const name = String(path[0] ?? '')
    // an option that was given without its value has been complained about
    if (!problems.some(problem => problem.startsWith(`--${name} `)))
      problems.push(`${origin.get(name) ?? `--${name}`} ${message}.`)
  }
  return { kind: 'problems', problems: [...problems, `See ${command.call} --help.`] }
}

const readCommandLine = (command: Command, argv: readonly string[]) => {
  const known = [...command.options, { name: 'help', about: '' } satisfies CommandOption as CommandOption]
  const { tokens } = parseArgs({
    args: [...argv],
    strict: false,
    tokens: true,
    allowPositionals: true,
    options: Object.fromEntries(
      known.map(({ name, value }) => [name, { type: value ? 'string' : 'boolean' } as const]),
    ),
  })
  const given = new Map<string, string | true>()
  const problems: string[] = []
  for (const token of tokens) {
    if (token.kind === 'positional') problems.push(`"${token.value}" is not understood: every setting begins with --.`)
    if (token.kind !== 'option') continue
    const option = known.find(({ name }) => name === token.name)
    const written = token.rawName
    if (!option) {
      const [near] = nearestNames(
        token.name,
        known.map(({ name }) => name),
        1,
      )
      problems.push(`${written} is no option${near ? `; did you mean --${near}?` : '.'}`)
    } else if (given.has(option.name)) problems.push(`${written} is given twice.`)
    else if (!option.value && token.value !== undefined) problems.push(`${written} takes no value.`)
    else if (option.value && (!token.value || (!token.inlineValue && token.value.startsWith('--'))))
      problems.push(`${written} needs a value: ${written} ${option.value}.`)
    else given.set(option.name, token.value ?? true)
  }
  return { given, problems }
}

const helpText = ({ call, about, options, after = [] }: Command): string => {
  const left = (option: CommandOption) => `--${option.name}${option.value ? ` ${option.value}` : ''}`
  const width = Math.max(...options.map(option => left(option).length), 6) + 2
  const lines = options.flatMap(option => {
    const more = [option.environment, option.otherwise && `otherwise ${option.otherwise}`].filter(Boolean).join('; ')
    const [first = '', ...rest] = option.about.split('\n')
    const last = more && `(${more})`
    return [
      `  ${left(option).padEnd(width)}${first}`,
      ...[...rest, last].filter(Boolean).map(line => `  ${' '.repeat(width)}${line}`),
    ]
  })
  return [
    `${call} [options]`,
    '',
    about,
    '',
    ...lines,
    `  ${'--help'.padEnd(width)}this text`,
    ...(after.length > 0 ? ['', ...after] : []),
    '',
  ].join('\n')
}

/**
 * A whole number written as text, for a setting.
 *
 * @param most included
 */
export const wholeNumber = (least: number, most: number) =>
  z
    .string()
    .regex(/^\d{1,15}$/, `must be a whole number from ${least} to ${most}`)
    .transform(Number)
    .refine(number => number >= least && number <= most, `must be a whole number from ${least} to ${most}`)
