import type { PlacementView } from '../../server/api/wire.ts'

const MORE = { warning: '', hint: 'worth a look: ' } as const

/** Where notes and road disagree, by station, each with a way to its call. */
export function Findings({ placed, jump }: { placed: PlacementView; jump: (call: number) => void }) {
  const { findings } = placed
  return (
    <div className="findings">
      <h2>
        {findings.length === 0
          ? 'Notes and road agree'
          : `Notes against road: ${findings.length} ${findings.length === 1 ? 'finding' : 'findings'}`}
      </h2>
      <ol>
        {findings.map((finding) => (
          <li key={`${finding.station}-${finding.code}-${finding.message}`} data-code={finding.code}>
            {finding.call === null ? (
              finding.message
            ) : (
              <button type="button" className="quiet" onClick={() => jump(finding.call!)}>
                {MORE[finding.severity]}
                {finding.message}
              </button>
            )}
          </li>
        ))}
      </ol>
    </div>
  )
}
