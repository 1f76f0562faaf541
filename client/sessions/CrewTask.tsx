import { useEffect, useState } from 'react'
import type { StageTime } from '../../server/units.ts'
import type { ClubSession } from './clubSession.ts'
import { questionAt, turnAt } from './clubView.ts'

export const MODES = {
  listen: 'listen together',
  turns: 'read in turn',
  taps: 'read silently, tap “now” at the start of each call',
  quiz: 'what comes next?',
  vote: 'verbose, then terse: which serves you?',
  relay: 'relay: a crew a section',
} as const

/** What a crew does in this run. */
export function Task({ session, at, pos }: { session: ClubSession; at: number; pos: StageTime }) {
  const run = session.link.room.run!
  const calls = session.planNow()!.plan.calls
  const role = session.link.me!.role
  const turn = turnAt(run.turns, calls[Math.max(0, at)]?.index ?? -1)
  const mine = turn.now !== null && isMine(session, turn.now.member)
  switch (run.mode) {
    case 'listen':
      return <Said now={calls[at]?.say} next={calls[at + 1]?.say} />
    case 'turns':
    case 'relay':
      return (
        <>
          <p className="turn" data-mine={mine}>
            {mine ? 'You read.' : <bdi>{turn.now?.name ?? 'Nobody'} reads.</bdi>}{' '}
            {turn.next && (
              <span className="soft small">
                then {isMine(session, turn.next.member) ? 'you' : <bdi>{turn.next.name}</bdi>}
              </span>
            )}
          </p>
          {role === 'co-driver' && mine ? (
            <Taps session={session} at={at} />
          ) : (
            <Said now={calls[at]?.say} next={calls[at + 1]?.say} />
          )}
        </>
      )
    case 'taps':
      return role === 'co-driver' ? (
        <Taps session={session} at={at} />
      ) : (
        <p className="wait">The co-drivers read silently.</p>
      )
    case 'quiz':
      return <Question session={session} pos={pos} />
    case 'vote':
      return (
        <>
          <p className="soft small">{session.moment()?.plan.label}</p>
          <Said now={calls[at]?.say} next={calls[at + 1]?.say} />
          <Vote session={session} />
        </>
      )
    default:
      run.mode satisfies never
      return null
  }
}

const isMine = (session: ClubSession, member: string | null): boolean =>
  member !== null && member === session.link.me?.id

function Said({ now, next }: { now: string | undefined; next: string | undefined }) {
  return (
    <div className="captions">
      <p className="now">{now ? <span>{now}</span> : ' '}</p>
      <p className="next">{next ?? ' '}</p>
    </div>
  )
}

/** The notes to come, and one wide button. What was tapped last is scored under it. */
function Taps({ session, at }: { session: ClubSession; at: number }) {
  const calls = session.planNow()!.plan.calls
  const [score, setScore] = useState<{ call: number | null; error: number | null } | null>(null)
  const [ahead, setAhead] = useState(-1)
  useEffect(() => {
    session.link.onScored = (scored) => {
      setScore(scored)
      const place = session.planNow()?.plan.calls.findIndex((call) => call.index === scored.call) ?? -1
      if (place >= 0) setAhead(place)
    }
    return () => {
      session.link.onScored = () => {}
    }
  }, [session])
  const next = Math.max(at, ahead) + 1
  const tap = (stamp: number) => session.link.do({ type: 'tap', at: session.serverAtEvent(stamp) })
  return (
    <>
      <div className="captions">
        <p className="now">{calls[next]?.say ?? 'that was the last'}</p>
        <p className="next">{calls[next + 1]?.say ?? ' '}</p>
      </div>
      <button
        type="button"
        className="tap"
        onPointerDown={(event) => tap(event.timeStamp)}
        onKeyDown={(event) => {
          if ((event.key === ' ' || event.key === 'Enter') && !event.repeat) tap(event.timeStamp)
        }}
      >
        now
      </button>
      <p className="score" role="status">
        {score === null ? 'Tap as you would begin the call.' : scoreInWords(score.error)}
      </p>
    </>
  )
}

export function scoreInWords(error: number | null): string {
  if (error === null) return 'no call there'
  const size = Math.abs(error)
  return size < 0.05 ? 'exact' : `${size.toFixed(2)} s ${error < 0 ? 'early' : 'late'}`
}

function Question({ session, pos }: { session: ClubSession; pos: StageTime }) {
  const run = session.link.room.run!
  const [given, setGiven] = useState<{ call: number; choice: number } | null>(null)
  const item = questionAt(run.quiz, pos)
  const calls = session.planNow()!.plan.calls
  const answered = given && calls.find((call) => call.index === given.call)
  if (!item) {
    const right = answered && run.quiz.find((one) => one.call === given.call)?.choices[given.choice] === answered.say
    return (
      <div className="captions">
        <p className="now">{answered && pos >= answered.start ? <span>{answered.say}</span> : ' '}</p>
        <p className="next">
          {answered && pos >= answered.start ? (right ? 'right' : 'no, this') : 'Look at the road.'}
        </p>
      </div>
    )
  }
  return (
    <div className="quiz">
      <p className="soft">What comes next?</p>
      {item.choices.map((choice, i) => (
        <button
          type="button"
          key={choice}
          disabled={given?.call === item.call}
          aria-pressed={given?.call === item.call && given.choice === i}
          onClick={(event) => {
            setGiven({ call: item.call, choice: i })
            session.link.do({ type: 'answer', call: item.call, choice: i, at: session.serverAtEvent(event.timeStamp) })
          }}
        >
          {choice}
        </button>
      ))}
    </div>
  )
}

function Vote({ session }: { session: ClubSession }) {
  const [chosen, setChosen] = useState<'verbose' | 'terse' | null>(null)
  const heard = session.moment()?.plan.label === 'terse'
  return (
    <div className="row">
      {(['verbose', 'terse'] as const).map((choice) => (
        <button
          type="button"
          key={choice}
          disabled={!heard}
          aria-pressed={chosen === choice}
          onClick={() => {
            setChosen(choice)
            session.link.do({ type: 'vote', choice })
          }}
        >
          {choice}
        </button>
      ))}
      {!heard && <span className="soft small">vote when you have heard both</span>}
    </div>
  )
}
