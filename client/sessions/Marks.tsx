import type { Act, RosterRow, Turn } from '../../server/sessions/clubWire.ts'

/** Whose turn is which stretch; the trainer hands a turn to somebody else. */
export function Marks({
  turns,
  crews,
  act,
}: {
  turns: readonly Turn[]
  crews: readonly RosterRow[]
  act: (act: Act) => Promise<void>
}) {
  return (
    <table>
      <thead>
        <tr>
          <th>calls</th>
          <th>read by</th>
        </tr>
      </thead>
      <tbody>
        {turns.map((turn, i) => (
          <tr key={turn.from}>
            <td>
              {turn.from + 1}–{turn.to}
            </td>
            <td>
              <select
                aria-label={`Who reads calls ${turn.from + 1} to ${turn.to}`}
                value={turn.member ?? ''}
                onChange={(event) => void act({ do: 'floor', turn: i, member: event.target.value })}
              >
                {!crews.some((one) => one.id === turn.member) && <option value={turn.member ?? ''}>{turn.name}</option>}
                {crews.map((one) => (
                  <option key={one.id} value={one.id}>
                    {one.crew ?? one.name}
                  </option>
                ))}
              </select>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
