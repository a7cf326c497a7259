import type { AxisJob } from '../../core/state.js'

/** One piece of the stacked bar. Lengths in m; they add up to |error| + uncertainty. */
export interface Piece {
  kind: 'error' | 'uncertainty'
  name: string
  /** m; signed part of the error, or a standard uncertainty */
  amount: number
  /** m; how much of the bar it takes */
  length: number
}

/**
 * Error parts and uncertainty contributions as a stack, largest first in each.
 * Parts of the error count with their magnitudes, as in the thermal error index. Standard uncertainties add by their
 * squares, so each takes its share of the variance from the expanded uncertainty.
 */
export const budgetPieces = ({ sizeError, drift, uncertainty, parts, budget }: AxisJob): Piece[] => {
  const whole = Math.abs(sizeError) + Math.abs(drift)
  const sum = parts.reduce((total, part) => total + Math.abs(part.amount), 0)
  // parts that partly cancel each other would not stack to the error: then show what it is made of at least
  const stacked =
    Math.abs(sum - whole) <= 1e-3 * whole + 1e-12
      ? parts
      : [
          { name: 'size error', amount: sizeError },
          { name: 'drift', amount: drift },
        ]
  const variance = budget.reduce((total, b) => total + b.standardUncertainty ** 2, 0)
  const pieces: Piece[] = [
    ...stacked.map(({ name, amount }): Piece => ({ kind: 'error', name, amount, length: Math.abs(amount) })),
    ...budget.map(
      ({ name, standardUncertainty: u }): Piece => ({
        kind: 'uncertainty',
        name,
        amount: u,
        length: variance > 0 ? (uncertainty * u ** 2) / variance : 0,
      }),
    ),
  ]
  const rank = (piece: Piece) => (piece.kind === 'error' ? 0 : 1)
  return pieces.filter(p => p.length > 0).sort((a, b) => rank(a) - rank(b) || b.length - a.length)
}

/** One row of the budget's table: a piece as it stands on each axis, in the order of the axes. */
export interface BudgetRow {
  kind: Piece['kind']
  name: string
  pieces: (Piece | undefined)[]
}

/** The pieces of all axes by name, error first, the largest on any axis first; a row's place is its number in the bars. */
export const budgetRows = (axes: readonly (readonly Piece[])[]): BudgetRow[] => {
  const rows: BudgetRow[] = []
  axes.forEach((pieces, axis) => {
    for (const piece of pieces) {
      let row = rows.find(r => r.kind === piece.kind && r.name === piece.name)
      if (!row) {
        row = { kind: piece.kind, name: piece.name, pieces: axes.map(() => undefined) }
        rows.push(row)
      }
      row.pieces[axis] = piece
    }
  })
  const rank = (row: BudgetRow) => (row.kind === 'error' ? 0 : 1)
  const largest = (row: BudgetRow) => Math.max(...row.pieces.map(p => p?.length ?? 0))
  return rows.sort((a, b) => rank(a) - rank(b) || largest(b) - largest(a))
}
