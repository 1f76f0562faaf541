import { useCallback, useEffect, useMemo, useRef, useState, useSyncExternalStore } from 'react'
import type { TakeDetail } from '../../../server/api/wireTakes.ts'
import type { StageTime } from '../../../server/units.ts'
import { useLoaded } from '../../connection/useLoaded.ts'
import { ProblemPage } from '../../look/ProblemPage.tsx'
import { clockInWords } from '../../look/words.ts'
import type { Player } from '../../playback/player.ts'
import { Captions, Preparing } from '../Captions.tsx'
import { ActPractice } from './ActPractice.tsx'
import { LiveCue } from './LiveCue.tsx'
import { NotesSheet } from './NotesSheet.tsx'
import { RoadView } from './RoadView.tsx'
import { SetUp } from './SetUp.tsx'
import { ReadingSession } from './session.ts'
import { takeInWords } from './takeInWords.ts'
import { aloneListening, sendLeftovers } from './takeKeeper.ts'
import { type Opened, usePlayer, useRide } from './useRide.ts'
import '../drive.css'
import './reading.css'

type Notes = 'page' | 'captions' | 'hidden'

/** Read aloud: the road moves at plan speed, the co-driver reads, every start is set against its window. With ?ride=act the driver practises. */
export default function ReadPage({ stageId, query }: { stageId: string; query: URLSearchParams }) {
  const average = query.has('average') ? Number(query.get('average')) / 3.6 : null
  const { ride, problem, progress } = useRide(stageId, average)
  if (problem) return <ProblemPage text={problem} />
  if (!ride) return <Preparing progress={progress} />
  if (query.get('ride') !== 'act') return <Reading ride={ride} />
  return query.has('take') ? <ActOnTake ride={ride} id={query.get('take')!} /> : <ActPractice ride={ride} take={null} />
}

/** Driver practice on a take of the crew's own. */
function ActOnTake({ ride, id }: { ride: Opened; id: string }) {
  const { loaded: take, problem } = useLoaded<TakeDetail>(`/stages/${ride.stage.id}/takes/${id}`)
  if (problem) return <ProblemPage text={problem} />
  return take ? <ActPractice ride={ride} take={take} /> : <main aria-busy="true">Opening the take …</main>
}

function Reading({ ride }: { ride: Opened }) {
  const { stage, road, plan, clips, card, earlier } = ride
  const session = useMemo(
    () => new ReadingSession(stage.id, card, plan, clips, earlier),
    [stage.id, card, plan, clips, earlier],
  )
  useSyncExternalStore(session.subscribe, session.version)
  const [notes, setNotes] = useState<Notes>('page')
  const [cue, setCue] = useState(true)
  const [voice, setVoice] = useState(false)
  const [rescue, setRescue] = useState(false)
  const [first, setFirst] = useState(0)
  const [position, setPosition] = useState(-1)
  const [alone, setAlone] = useState(true)
  const free = useRef<() => void>(() => {})
  session.voice = voice
  session.rescue = rescue

  const onWake = useCallback(
    (player: Player) => {
      session.help(player.stageHeard())
      if (player.status() === 'finished') session.stop()
    },
    [session],
  )
  const player = usePlayer(ride, voice, onWake)
  useEffect(() => card.side(voice ? -1 : 0), [card, voice])
  useEffect(() => () => session.close(), [session])
  // What a crash of an earlier page left in this browser goes to the stage folder now, unless another tab is at work.
  useEffect(() => void aloneListening(async () => void (await sendLeftovers(stage.id))), [stage.id])

  const { status } = session
  useEffect(() => {
    if (status === 'done' || status === 'ready' || status === 'shut') free.current()
  }, [status])

  const start = () => {
    if (!player) return
    setAlone(true)
    void aloneListening(
      () =>
        new Promise<void>((resolve) => {
          free.current = resolve
          void session.start(player, notes, first > 0 ? first : undefined)
        }),
    ).then((was) => setAlone(was))
  }
  const stop = () => {
    player?.pause()
    session.stop()
  }
  const onFrame = (now: StageTime) => {
    let at = -1
    for (let i = 0; i < plan.calls.length && plan.calls[i]!.earliest <= now; i++) at = i
    if (at !== position) setPosition(at)
  }
  const reading = status === 'reading'
  return (
    <main className="wide drive read" data-status={status}>
      <h1 className="hidden">Read aloud: {stage.title}</h1>
      <RoadView
        road={road}
        plan={plan}
        units={stage.settings.units}
        stageNow={() => player?.stageHeard() ?? (0 as StageTime)}
        onFrame={onFrame}
      />
      <div className="desk">
        {cue && <LiveCue last={session.last} />}
        {notes === 'page' && <NotesSheet notes={stage.notes} plan={plan} position={position} />}
        {notes === 'captions' && (
          <div className="captions">
            <Captions plan={plan} call={position} />
          </div>
        )}
        <div className="controls">
          {reading ? (
            <button type="button" onClick={stop}>
              end the take
            </button>
          ) : (
            <button type="button" onClick={start} disabled={!player || (status !== 'ready' && status !== 'done')}>
              start a take
            </button>
          )}
          <label>
            <span className="hidden">Begin at</span>
            <select value={first} onChange={(event) => setFirst(Number(event.target.value))} disabled={reading}>
              {plan.calls.map((one, i) => (
                <option key={one.index} value={i}>
                  {i === 0 ? 'from the start' : `${clockInWords(one.start)} ${one.say.slice(0, 40)}`}
                </option>
              ))}
            </select>
          </label>
          <label>
            notes{' '}
            <select value={notes} onChange={(event) => setNotes(event.target.value as Notes)}>
              <option value="page">as a page</option>
              <option value="captions">as captions</option>
              <option value="hidden">hidden</option>
            </select>
          </label>
          <button type="button" aria-pressed={cue} onClick={() => setCue(!cue)}>
            early/late cue
          </button>
          <button type="button" aria-pressed={voice} onClick={() => setVoice(!voice)} disabled={reading}>
            voice in the left ear
          </button>
          <button type="button" aria-pressed={rescue} onClick={() => setRescue(!rescue)}>
            help when I am late
          </button>
        </div>
        {!reading && <SetUp session={session} card={card} />}
        {session.problem && (
          <p className="problem" role="alert">
            {session.problem}
          </p>
        )}
        {!alone && (
          <p className="problem" role="alert">
            Another tab of Say When is listening. End its take, or close it, then start here.
          </p>
        )}
        <p className="foot small" role="status">
          {status === 'reading' && session.level && session.level.peak < 0.0003 && position > 1
            ? 'No sound comes from the microphone.'
            : status === 'settling'
              ? 'Going through the take once more …'
              : session.result
                ? takeInWords(session.result)
                : 'A rehearsal at a desk, never in a moving car. Speeds are targets for practice; marshals and the law come first.'}
        </p>
        {session.result && (
          <p>
            <a className="button" href={`/stages/${stage.id}/results?take=${session.result.id}`}>
              see it call by call
            </a>
          </p>
        )}
      </div>
    </main>
  )
}
