import { useState } from 'react'
import type { VersionSummary } from '../../server/api/wire.ts'
import { request } from '../connection/request.ts'
import { Difference } from './Difference.tsx'

/** Earlier texts of a stage's notes: shown whole, and put back as one change of the text, so that undo returns. */
export function Versions({
  stageId,
  current,
  restore,
}: {
  stageId: string
  current: () => string
  restore: (text: string) => void
}) {
  const [list, setList] = useState<readonly VersionSummary[] | null>(null)
  const [shown, setShown] = useState<{ id: string; text: string } | null>(null)
  return (
    <details
      onToggle={(event) => {
        if (event.currentTarget.open)
          request<VersionSummary[]>(`/stages/${stageId}/versions`).then(setList, () => setList([]))
      }}
    >
      <summary>Earlier versions</summary>
      {list === null ? (
        <p className="small">Reading …</p>
      ) : list.length === 0 ? (
        <p className="small soft">None yet: a version is kept with every save.</p>
      ) : (
        <ul className="small versions">
          {list.map((version) => (
            <li key={version.id}>
              <button
                type="button"
                className="quiet"
                onClick={() =>
                  request<{ text: string }>(`/stages/${stageId}/versions/${version.id}`).then(
                    ({ text }) => setShown({ id: version.id, text }),
                    () => {},
                  )
                }
              >
                {new Date(version.savedAt * 1000).toLocaleString()}, {version.words} words
              </button>
            </li>
          ))}
        </ul>
      )}
      {shown && (
        <div className="stack">
          <p className="small">That version on the left, the notes as they stand on the right.</p>
          <Difference before={shown.text} after={current()} label="What changed since that version" />
          <button type="button" onClick={() => restore(shown.text)}>
            restore this version
          </button>
        </div>
      )}
    </details>
  )
}
