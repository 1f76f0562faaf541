import type { PlacementView } from '../../server/api/wire.ts'

/** Where notes and road disagree, with a way to the call. */
export function Findings({ placed, jump }: { placed: PlacementView; jump: (call: number) => void }) {
  const { findings } = placed
  return (
    <div className="findings">
      <h2>
        {findings.length === 0
          ? 'Notes and road agree'
          : `Notes against road: ${findings.length} ${findings.length === 1 ? 'finding' : 'findings'}`}
      </h2>
      <ul>
        {findings.map((finding) => (
          <li key={`${finding.station}-${finding.code}`}>
            {finding.call === null ? (
              finding.message
            ) : (
              <button type="button" className="quiet" onClick={() => jump(finding.call!)}>
                {finding.message}
              </button>
            )}
          </li>
        ))}
      </ul>
    </div>
  )
}
