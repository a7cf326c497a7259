import { useEffect, useState } from 'preact/hooks'

/** ms */
const every = 200

/** Prints the report once all its cards are answered: what is still being computed would be missing in it for good. */
export const PrintButton = () => {
  const [wanted, setWanted] = useState(false)
  useEffect(() => {
    if (!wanted) return
    const timer = setInterval(() => {
      if (document.querySelector('main [aria-busy="true"]')) return
      clearInterval(timer)
      setWanted(false)
      window.print()
    }, every)
    return () => clearInterval(timer)
  }, [wanted])
  return (
    <button type="button" class="button" onClick={() => setWanted(!wanted)}>
      {wanted ? 'Prints when all is computed … Do not print' : 'Print the report'}
    </button>
  )
}
