import { useEffect, useState } from 'preact/hooks'

/** ms after the last key; then it is looked through */
const settled = 400

/**
 * What the service says of a table while somebody writes it or has chosen a file.
 *
 * @param csv its text; of an empty one nothing is asked
 * @param ask is not asked anew when it alone changes
 */
export const usePreview = <T>(csv: string, ask: (csv: string) => Promise<T>): { found: T | null; problem: string } => {
  const [found, setFound] = useState<T | null>(null)
  const [problem, setProblem] = useState('')
  useEffect(() => {
    setFound(null)
    setProblem('')
    if (csv.trim() === '') return
    let isLatest = true
    const timer = setTimeout(() => {
      ask(csv).then(
        answer => isLatest && setFound(() => answer),
        error => isLatest && setProblem(error instanceof Error ? error.message : String(error)),
      )
    }, settled)
    return () => {
      isLatest = false
      clearTimeout(timer)
    }
  }, [csv])
  return { found, problem }
}
