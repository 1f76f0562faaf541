import type { Diagnostic } from '../../server/notes/notes.ts'

/** Doubtful places with a way to each. */
export function Doubts({
  diagnostics,
  text,
  jump,
}: {
  diagnostics: readonly Diagnostic[]
  text: string
  jump: (offset: number) => void
}) {
  const line = (offset: number) => text.slice(0, offset).split('\n').length
  return (
    <details open={diagnostics.length > 0 && diagnostics.length < 6}>
      <summary>
        {diagnostics.length === 0
          ? 'Nothing doubtful'
          : `${diagnostics.length} doubtful ${diagnostics.length === 1 ? 'place' : 'places'}`}
      </summary>
      <ul className="small">
        {diagnostics.slice(0, 200).map((one) => (
          <li key={`${one.from}-${one.code}`}>
            <button type="button" className="quiet" onClick={() => jump(one.from)}>
              line {line(one.from)}
            </button>{' '}
            {one.message}
          </li>
        ))}
      </ul>
    </details>
  )
}
