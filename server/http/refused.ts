import { nearestNames } from '../../core/nearest.js'

/** A request that is refused, with what the asker needs to put it right. */
export class Refused extends Error {
  constructor(
    readonly statusCode: number,
    /** what is wrong */
    what: string,
    /** which part of the request */
    readonly where: string,
    /** what would be right */
    readonly remedy: string,
  ) {
    super(what)
  }
}

/** @throws Refused 400 where a text could not be read */
export const understood = <T>(parsed: { value: T } | { problem: string; remedy: string }, where: string): T => {
  if ('value' in parsed) return parsed.value
  throw new Refused(400, `${parsed.problem}.`, where, parsed.remedy)
}

/** For the `catch` of what is asked for: an error of one kind becomes a refusal, any other stays what it is. */
export const refusing =
  <Kind extends Error>(kind: abstract new (...args: never[]) => Kind, refusal: (error: Kind) => Refused) =>
  (error: unknown): never => {
    throw error instanceof kind ? refusal(error) : error
  }

export const changedMeanwhile = (where: string): Refused =>
  new Refused(409, 'Somebody else has changed it meanwhile.', where, 'Look at it again.')

/** most ids named in an answer; a shop may have thousands of sensors */
const named = 60

/** 404 that says which ids there are. */
export const notKnown = (kind: string, asked: readonly string[], known: readonly string[], where: string): Refused => {
  const rest = known.length - named
  const list = known.slice(0, named).join(', ') + (rest > 0 ? ` and ${rest} more` : '')
  return new Refused(
    404,
    `There is no ${kind} ${asked.map(id => `"${id.slice(0, 80)}"`).join(', ')} in this shop.`,
    where,
    known.length === 0 ? `The shop file names no ${kind}.` : `${meant(asked, known)}Ask for one of: ${list}.`,
  )
}

const meant = (asked: readonly string[], known: readonly string[]): string => {
  const near = asked.flatMap(id => (id.length > 80 ? [] : nearestNames(id, known, 1)))
  return near.length === 0 ? '' : `Did you mean ${near.join(', ')}? `
}
