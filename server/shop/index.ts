/** The shop file: YAML with quantities as people write them → the shop that core computes with, or every mistake in it. */
export type { ParsedShop } from './parse.js'
export { describeProblems } from './problem.js'
export { readShop } from './read.js'
