import { useState } from 'react'
import { clockInWords } from '../look/words.ts'
import { epochAtPage } from '../playback/clocks.ts'
import { BoardView } from './BoardView.tsx'
import { ClubRoad } from './ClubRoad.tsx'
import { MODES, Task } from './CrewTask.tsx'
import type { ClubSession } from './clubSession.ts'
import { callAt } from './clubView.ts'
import { useTicking } from './useClub.ts'

/** Starts told to the page, for checks from outside: the card's clock mapped back to the server's and to the wall's. */
function startsTold(session: ClubSession): string {
  const { clock } = session.link
  return JSON.stringify(
    session.sound.log.slice(-40).map(({ call, server, audio }) => {
      const page = session.audio.pageAt(audio + session.sound.clap)
      return { call, server, mapped: clock.serverAt(page), epoch: epochAtPage(page) }
    }),
  )
}

/** What a crew holds in its hands. */
export function PhoneView({ session }: { session: ClubSession }) {
  useTicking(10)
  const { link } = session
  const { run, board } = link.room
  const moment = session.moment()
  const plan = session.planNow()
  const role = link.me!.role
  const pos = moment?.pos ?? null
  const calls = plan?.plan.calls ?? []
  const at = pos === null ? -1 : callAt(calls, pos)
  const running = moment !== null && moment.segment.rate === 1
  const { clock } = link
  return (
    <main
      className="club phone"
      data-status={link.status}
      data-starts={startsTold(session)}
      data-pos={pos ?? ''}
      data-server={session.serverNow()}
      data-rate={moment?.segment.rate ?? ''}
    >
      <h1 className="hidden">{link.room.title}</h1>
      <header className="row between">
        <strong>
          <bdi>{link.me!.name}</bdi> <span className="soft">{role}</span>
        </strong>
        <span className="soft small" role="status">
          {link.status === 'away' ? 'coming back …' : clock.exact ? 'clock exact' : 'clock settling'}
        </span>
      </header>
      {link.roster && link.roster.trainers === 0 && (
        <p className="small note">The trainer is away; what runs goes on.</p>
      )}
      {link.late > 2 && (
        <p className="problem small">
          This phone hears of things too late ({link.late} times): its network is too slow to keep up. Go nearer to the
          router.
        </p>
      )}
      {board && !running ? (
        <BoardView board={board} />
      ) : run === null || plan === null ? (
        <p className="wait">{run ? 'Fetching the stage …' : `You are in. ${link.room.title} has not begun.`}</p>
      ) : (
        <>
          <div className="row between">
            <span className="figure">{clockInWords(pos ?? moment?.plan.begins ?? 0)}</span>
            <span className="soft small">
              {run.title}
              <br />
              {MODES[run.mode]}
            </span>
          </div>
          <div className="view">
            <ClubRoad session={session} plan={plan} deep={false} />
          </div>
          {pos === null || moment === null ? (
            <p className="wait">Ready. The trainer starts it.</p>
          ) : moment.waits > 0 ? (
            <p className="wait">Starting in {Math.ceil(moment.waits)} …</p>
          ) : (
            <Task session={session} at={at} pos={pos} />
          )}
        </>
      )}
      <PhoneFoot session={session} />
    </main>
  )
}

function PhoneFoot({ session }: { session: ClubSession }) {
  const [muted, setMuted] = useState(session.sound.muted)
  const [clap, setClap] = useState(Math.round(session.sound.clap * 1000))
  const { floorSum } = session.link.clock
  const silent = !session.audio.ready
  return (
    <footer className="stack small">
      <div className="row">
        {silent && (
          <button type="button" className="big" onClick={() => void session.card.resume()}>
            let this phone sound
          </button>
        )}
        <button
          type="button"
          aria-pressed={muted}
          onClick={() => {
            session.sound.muted = !muted
            setMuted(!muted)
          }}
        >
          mute
        </button>
        <button type="button" onClick={() => void download(session)}>
          my results
        </button>
      </div>
      <details>
        <summary className="soft">This phone’s sound and clock</summary>
        <p>
          {Number.isFinite(floorSum) ? `Network at best ${(floorSum * 1000).toFixed(0)} ms there and back. ` : ''}
          {floorSum > 0.15 && 'That is slow: half of a lasting difference between the two ways would be heard. '}
          Wireless earphones are late by more than any clock can see: use the phone’s own speaker or a wire, or move
          this until it claps with the others.
        </p>
        <label>
          heard {clap} ms later than told
          <input
            type="range"
            min={0}
            max={400}
            step={5}
            value={clap}
            onChange={(event) => {
              setClap(Number(event.target.value))
              session.setClap(Number(event.target.value))
            }}
          />
        </label>
        {!isSecureContext && <p>Plain http: no microphone and nothing offline on this phone; taps work.</p>}
      </details>
    </footer>
  )
}

/** Results of this seat, or for a trainer of all, as a file. */
export async function download(session: ClubSession): Promise<void> {
  const answer = await session.fetch('/results.csv')
  if (!answer.ok) return
  const link = document.createElement('a')
  link.href = URL.createObjectURL(await answer.blob())
  link.download = 'say-when-club.csv'
  link.click()
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000)
}
