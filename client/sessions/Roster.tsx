import type { Act } from '../../server/sessions/clubWire.ts'
import { scoreInWords } from './CrewTask.tsx'
import type { ClubSession } from './clubSession.ts'

/** Who is in, as the trainer sees it: ready or not, how it goes, and the door. */
export function Roster({
  session,
  act,
  locked,
}: {
  session: ClubSession
  act: (act: Act) => Promise<void>
  locked: boolean
}) {
  const members = (session.link.roster?.members ?? []).filter((one) => one.id !== session.link.me?.id)
  return (
    <section className="stack">
      <div className="row between">
        <h2>{members.filter((one) => one.here && one.role !== 'watcher').length} in</h2>
        <button type="button" aria-pressed={locked} onClick={() => void act({ do: 'lock', locked: !locked })}>
          {locked ? 'locked: let others in' : 'lock the room'}
        </button>
      </div>
      <ul className="roster">
        {members.map((one) => (
          <li key={one.id} className={one.here ? '' : 'soft'}>
            <span>
              <bdi>{one.name}</bdi> <span className="soft small">{one.role}</span>
              <br />
              <span className="small soft">
                {!one.here ? 'away' : !one.exact ? 'clock settling' : one.ready ? 'ready' : 'fetching'}
                {(one.taps ?? 0) > 0 && `, ${one.taps} taps, on average ${scoreInWords(one.mean ?? null)}`}
              </span>
            </span>
            <span className="row">
              <button type="button" onClick={() => void act({ do: 'hand-over', member: one.id })}>
                make trainer
              </button>
              <button type="button" onClick={() => void act({ do: 'kick', member: one.id })}>
                send out
              </button>
            </span>
          </li>
        ))}
      </ul>
    </section>
  )
}
