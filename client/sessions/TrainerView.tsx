import { useEffect, useState } from 'react'
import type { Act } from '../../server/sessions/clubWire.ts'
import { clockInWords } from '../look/words.ts'
import { BoardView } from './BoardView.tsx'
import type { ClubSession } from './clubSession.ts'
import { callAt } from './clubView.ts'
import { Marks } from './Marks.tsx'
import { download } from './PhoneView.tsx'
import { spaced, useJoinAddress } from './Projector.tsx'
import { QrCode } from './QrCode.tsx'
import { Roster } from './Roster.tsx'
import { RunForm } from './RunForm.tsx'
import { useTicking } from './useClub.ts'

/** The trainer's desk: what is run, start and pause, who is in, and the end of the night. */
export function TrainerView({ session, trainerKey }: { session: ClubSession; trainerKey?: string }) {
  useTicking(4)
  const { link } = session
  const { run, locked, board } = link.room
  const [say, setSay] = useState('')
  const [busy, setBusy] = useState(false)
  const { address } = useJoinAddress(link.code)
  const moment = session.moment()
  const plan = session.planNow()
  const act = async (one: Act): Promise<void> => {
    setBusy(true)
    setSay((await link.act(one)) ?? '')
    setBusy(false)
  }
  useEffect(() => {
    link.onProgress = (done, total) => setSay(`The voice has read ${done} of ${total} calls.`)
  }, [link])
  const running = moment?.segment.rate === 1
  const at = moment && plan ? callAt(plan.plan.calls, moment.pos) : -1
  const crews = (link.roster?.members ?? []).filter(
    (one) => one.here && one.role !== 'trainer' && one.role !== 'watcher',
  )
  const ready = crews.filter((one) => one.ready).length
  return (
    <main className="club trainer" data-status={link.status} data-pos={moment?.pos ?? ''}>
      <section className="stack">
        <div className="row between">
          <h1>{link.room.title}</h1>
          <a className="button" href="/club/screen" target="_blank" rel="noreferrer">
            open the screen
          </a>
        </div>
        {link.status === 'away' && <p className="problem">The host does not answer; coming back …</p>}
        {link.roster?.unsaved && (
          <p className="problem" role="alert">
            The host’s disk is full: this evening is kept in memory only. Make room, or take the results before you
            stop.
          </p>
        )}
        <RunForm session={session} busy={busy} act={act} />
        <div className="row">
          <button
            type="button"
            disabled={busy || !run || running}
            onClick={() => void act({ do: moment && !board ? 'resume' : 'start' })}
          >
            {moment && !board ? 'go on' : board ? 'ride again' : 'start'}
          </button>
          <button type="button" disabled={busy || !running} onClick={() => void act({ do: 'pause' })}>
            pause
          </button>
          <button type="button" disabled={busy || !moment} onClick={() => void act({ do: 'finish' })}>
            finish, show the board
          </button>
          {plan && run && (
            <>
              <button
                type="button"
                disabled={busy || !moment}
                onClick={() => void act({ do: 'speed', average: plan.plan.run.averageSpeed * 1.03 })}
              >
                faster
              </button>
              <button
                type="button"
                disabled={busy || !moment}
                onClick={() => void act({ do: 'speed', average: plan.plan.run.averageSpeed / 1.03 })}
              >
                slower
              </button>
              <span>{(plan.plan.run.averageSpeed * 3.6).toFixed(1)} km/h average</span>
            </>
          )}
        </div>
        <p role="status" className="small">
          {say || (run ? `${ready} of ${crews.length} phones have the sound.` : 'Choose a stage and what is run.')}
        </p>
        {run && plan && (
          <>
            <p className="figure">{clockInWords(moment?.pos ?? run.plans[0]!.begins)}</p>
            <label className="seek">
              <span className="small soft">to a call</span>
              <select
                value={Math.max(0, at)}
                disabled={busy || !moment}
                onChange={(event) =>
                  void act({ do: 'seek', pos: plan.plan.calls[Number(event.target.value)]!.start - 3 })
                }
              >
                {plan.plan.calls.map((call, i) => (
                  <option key={call.index} value={i}>
                    {clockInWords(call.start)} {call.say}
                  </option>
                ))}
              </select>
            </label>
            {run.turns.length > 0 && <Marks turns={run.turns} crews={crews} act={act} />}
          </>
        )}
        {board && !running && <BoardView board={board} />}
      </section>
      <aside className="stack">
        <div className="row">
          <QrCode text={address} />
          <div>
            <p className="code">{spaced(link.code)}</p>
            <p className="small">{address}</p>
            {trainerKey && (
              <details>
                <summary className="small">trainer key</summary>
                <p className="small key">{trainerKey}</p>
                <p className="small soft">Whoever has it runs the evening. It is not in the code on the wall.</p>
              </details>
            )}
          </div>
        </div>
        <Roster session={session} act={act} locked={locked} />
        <EndOfNight session={session} />
      </aside>
    </main>
  )
}

function EndOfNight({ session }: { session: ClubSession }) {
  const [asked, setAsked] = useState(false)
  const [keep, setKeep] = useState(false)
  const end = () => session.fetch('/end', { method: 'POST', body: JSON.stringify({ keep }) })
  return (
    <section className="stack end">
      <div className="row">
        <button type="button" onClick={() => void download(session)}>
          all results as CSV
        </button>
        <button type="button" onClick={() => setAsked(!asked)} aria-expanded={asked}>
          end the night
        </button>
      </div>
      {asked && (
        <div className="caution stack">
          <p>Everybody is sent home, and names, taps and results of this evening are deleted from this machine.</p>
          <label className="choice">
            <input type="checkbox" checked={keep} onChange={(event) => setKeep(event.target.checked)} />
            <span>keep them in the library’s folder club/kept instead</span>
          </label>
          <button type="button" onClick={() => void end()}>
            {keep ? 'end and keep' : 'end and delete'}
          </button>
        </div>
      )}
    </section>
  )
}
