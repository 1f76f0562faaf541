import type { Diagnostic, ParsedNotes } from '../../server/notes/notes.ts'

/** Doubtful places with a way to each, and how the grade system was read. */
export function Doubts({
  diagnostics,
  text,
  reasons,
  jump,
}: {
  diagnostics: readonly Diagnostic[]
  text: string
  reasons: ParsedNotes['notes']['reasons']
  jump: (offset: number) => void
}) {
  const line = (offset: number) => text.slice(0, offset).split('\n').length
  return (
    <details open={diagnostics.length > 0 && diagnostics.length < 6}>
      <summary>
        {diagnostics.length === 0
          ? 'Nothing doubtful; how it was read'
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
        {reasons.map((reason) => (
          <li key={reason.says} className="soft">
            {reason.says}
          </li>
        ))}
      </ul>
    </details>
  )
}
