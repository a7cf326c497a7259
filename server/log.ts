import { type Logger, pino } from 'pino'

export type { Logger }

/** a line for a person: time, what, and what belongs to it */
const plainLine = (json: string): string => {
  const { level, time, msg, err, pid: _pid, hostname: _host, ...rest } = JSON.parse(json)
  const mark = level >= 50 ? 'ERROR ' : level >= 40 ? 'warning: ' : ''
  const more = Object.entries(rest).map(([key, value]) => ` ${key}=${JSON.stringify(value)}`)
  const stack = err?.stack ? `\n${err.stack}` : ''
  return `${new Date(time).toTimeString().slice(0, 8)} ${mark}${msg ?? ''}${more.join('')}${stack}\n`
}

/** Writes to the standard output: plain lines on a terminal, JSON for everything else. */
export const createLog = (level: string, plain: boolean): Logger => {
  const options = { level, redact: ['req.headers.authorization', 'password', 'token'] }
  // written at once: what was logged before an end, however it comes, is there
  return plain
    ? pino(options, { write: json => process.stdout.write(plainLine(json)) })
    : pino(options, pino.destination({ sync: true }))
}
