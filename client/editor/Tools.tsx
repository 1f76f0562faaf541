import { type ReactNode, useState } from 'react'

const KINDS = ['corner', 'change', 'crest', 'warning', 'cut', 'landmark', 'object', 'surface', 'distance', 'unknown']

/** Done to the notes as a whole: find every element of a kind, turn the grades round, hear the line the cursor is on. */
export function Tools({
  find,
  renumber,
  speak,
  fastest,
  children,
}: {
  find: (kind: string) => number
  renumber: () => void
  speak: () => void
  fastest: 'high' | 'low' | null
  children?: ReactNode
}) {
  const [found, setFound] = useState('')
  return (
    <div className="row">
      <label className="small">
        find all{' '}
        <select
          value=""
          onChange={(event) => {
            const count = find(event.target.value)
            setFound(
              count === 0 ? `no ${event.target.value} in these notes` : `${count} × ${event.target.value} selected`,
            )
          }}
        >
          <option value="">of a kind …</option>
          {KINDS.map((kind) => (
            <option key={kind}>{kind}</option>
          ))}
        </select>
      </label>
      <button type="button" onClick={renumber} title="Every grade and target; one undo takes it back">
        renumber grades{fastest === null ? '' : fastest === 'high' ? ': make 1 fastest' : ': make the highest fastest'}
      </button>
      <button type="button" onClick={speak}>
        speak this line
      </button>
      {children}
      <span className="small soft" role="status">
        {found}
      </span>
    </div>
  )
}
