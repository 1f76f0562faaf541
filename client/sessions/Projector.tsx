import { useEffect, useState } from 'react'
import type { ClubOverview } from '../../server/api/wire.ts'
import { clockInWords } from '../look/words.ts'
import { BoardView } from './BoardView.tsx'
import { ClubRoad } from './ClubRoad.tsx'
import { MODES } from './CrewTask.tsx'
import type { ClubSession } from './clubSession.ts'
import { callAt, questionAt, turnAt } from './clubView.ts'
import { QrCode } from './QrCode.tsx'
import { useTicking } from './useClub.ts'

/** Where phones reach the club: the network's address when it is open, else this machine's own. */
export function useJoinAddress(code: string): { address: string; open: boolean } {
  const [overview, setOverview] = useState<ClubOverview | null>(null)
  useEffect(() => {
    fetch('/api/club')
      .then((answer) => (answer.ok ? (answer.json() as Promise<ClubOverview>) : null))
      .then(setOverview)
      .catch(() => {})
  }, [])
  const open = overview?.lan.open ?? false
  const base = (open && overview?.lan.addresses[0]) || location.origin
  return { address: `${base}/club/${code}`, open }
}

export const spaced = (code: string): string => `${code.slice(0, 3)} ${code.slice(3)}`

/** For the wall: road, captions, clock, how to join and who is in; the board between runs. Nothing private. */
export function Projector({ session }: { session: ClubSession }) {
  useTicking(10)
  const { link } = session
  const { run, board } = link.room
  const { address } = useJoinAddress(link.code)
  const moment = session.moment()
  const plan = session.planNow()
  const running = moment !== null && moment.segment.rate === 1
  const calls = plan?.plan.calls ?? []
  const at = moment ? callAt(calls, moment.pos) : -1
  const people = (link.roster?.members ?? []).filter((one) => one.role === 'co-driver' || one.role === 'driver')
  const here = people.filter((one) => one.here)
  const turn = run ? turnAt(run.turns, calls[Math.max(0, at)]?.index ?? -1) : null
  const question = run && moment ? questionAt(run.quiz, moment.pos) : null
  const silent = run?.mode === 'taps' || run?.mode === 'quiz'
  return (
    <main className="club screen" data-status={link.status}>
      <aside>
        <h1>{link.room.title}</h1>
        <QrCode text={address} />
        <p className="code">{spaced(link.code)}</p>
        <p className="address">{address.replace(/\/club\/.*/, '/club')}</p>
        <p>
          {here.length} in{link.room.locked ? ', closed to more' : ''}
        </p>
        <ul className="people">
          {here.slice(0, 24).map((one) => (
            <li key={one.id}>
              <bdi>{one.name}</bdi>
            </li>
          ))}
        </ul>
        {here.length > 24 && <p className="soft">and {here.length - 24} more</p>}
      </aside>
      <section className="stage">
        {board && !running ? (
          <BoardView board={board} />
        ) : !run || !plan ? (
          <p className="large wait">Join with the code. The run has not begun.</p>
        ) : (
          <>
            <div className="view">
              <ClubRoad session={session} plan={plan} deep />
              <p className="clock">{clockInWords(moment?.pos ?? run.plans[0]?.begins ?? 0)}</p>
              <p className="what">
                {run.title}: {MODES[run.mode]}
                {moment && run.mode === 'vote' ? ` (now ${moment.plan.label})` : ''}
              </p>
            </div>
            <div className="captions">
              {!moment ? (
                <p className="now">ready</p>
              ) : moment.segment.rate === 0 ? (
                <p className="now">held</p>
              ) : question ? (
                <p className="now">what comes next?</p>
              ) : silent ? (
                <p className="now">{run.mode === 'taps' ? 'reading silently' : (calls[at]?.say ?? ' ')}</p>
              ) : (
                <>
                  <p className="now">{calls[at] ? <span>{calls[at].say}</span> : ' '}</p>
                  <p className="next">{calls[at + 1]?.say ?? ' '}</p>
                </>
              )}
              {turn?.now && (
                <p className="next">
                  <bdi>{turn.now.name}</bdi> reads
                  {turn.next && (
                    <>
                      , then <bdi>{turn.next.name}</bdi>
                    </>
                  )}
                </p>
              )}
            </div>
          </>
        )}
      </section>
    </main>
  )
}
