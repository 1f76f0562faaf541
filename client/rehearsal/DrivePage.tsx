import { useCallback, useEffect, useMemo, useRef, useState } from 'react'
import type { PlanDocument, PlanRequest, RoadTable, StageDetail } from '../../server/api/wire.ts'
import type { StageTime } from '../../server/units.ts'
import { changePlan, prepareSpeech, Superseded } from '../connection/live.ts'
import { request } from '../connection/request.ts'
import { ProblemPage } from '../look/ProblemPage.tsx'
import { clockInWords, lengthInWords, speedInWords } from '../look/words.ts'
import { type CarState, carAtInPlace, stationAt } from '../playback/carAt.ts'
import { createPlayer, type Player, type PlayerStatus } from '../playback/player.ts'
import { type WebSoundCard, webSoundCard } from '../playback/soundCard.ts'
import { hasWebGl } from '../road/hasWebGl.ts'
import { PlanRide } from '../road/PlanRide.tsx'
import { RibbonRoad } from '../road/RibbonRoad.tsx'
import { Captions, Preparing } from './Captions.tsx'
import { MemoryCaptions } from './memory/MemoryCaptions.tsx'
import { RideSpeed } from './RideSpeed.tsx'
import { StageLine } from './StageLine.tsx'
import './drive.css'

const [STEP, FASTER] = [2, 1.03]
const PRESS = { ready: 'start', riding: 'pause', held: 'go on', finished: 'ride again' } as const
/** How often the player deals with the stretch since last time, ms; hidden pages are woken once a second and so look further ahead. */
const WAKE_MS = 100
const AHEAD_HIDDEN = 1.6
/** Frame costs are written to the page once in so many frames. */
const FRAMES_TOLD = 60

const runOf = (plan: PlanDocument) => ({
  calls: plan.calls,
  profile: plan.profile!,
  ...(plan.countIn ? { countIn: plan.countIn } : {}),
})

/** Drive: the stage from the driver's seat, the notes read on the stage clock. */
export default function DrivePage({ stageId, query }: { stageId: string; query: URLSearchParams }) {
  const [stage, setStage] = useState<StageDetail | null>(null)
  const [road, setRoad] = useState<RoadTable | null>(null)
  const [plan, setPlan] = useState<PlanDocument | null>(null)
  const [sound, setSound] = useState<{ player: Player; card: WebSoundCard } | null>(null)
  const [progress, setProgress] = useState<{ done: number; total: number } | null>(null)
  const [problem, setProblem] = useState<string | null>(null)

  useEffect(() => {
    let alive = true
    let shut = () => {}
    const asked: PlanRequest = query.has('average')
      ? { target: { kind: 'average', speed: Number(query.get('average')) / 3.6 } }
      : {}
    async function open(): Promise<void> {
      const [detail, table] = await Promise.all([
        request<StageDetail>(`/stages/${stageId}`),
        request<RoadTable>(`/stages/${stageId}/road?step=${STEP}`),
      ])
      if (!alive) return
      setStage(detail)
      setRoad(table)
      const spoken = await prepareSpeech(stageId, asked, (done, total) => alive && setProgress({ done, total }))
      if (!alive) return
      const card = webSoundCard()
      const made = createPlayer(card, runOf(spoken))
      const timer = setInterval(() => made.wake(document.hidden ? AHEAD_HIDDEN : undefined), WAKE_MS)
      shut = () => {
        clearInterval(timer)
        made.dispose()
        card.close()
      }
      const start = made.start
      made.start = () => void card.resume().then(start)
      const resume = made.resume
      made.resume = () => void card.resume().then(resume)
      const jumpTo = made.jumpTo
      made.jumpTo = (position) => void card.resume().then(() => jumpTo(position))
      const second = Number(query.get('t'))
      if (Number.isFinite(second) && second > 0) made.jumpToTime(second as StageTime)
      setPlan(spoken)
      setSound({ player: made, card })
      setProgress(null)
    }
    open().catch((error: Error) => alive && setProblem(error.message))
    return () => {
      alive = false
      shut()
    }
  }, [stageId, query])

  if (problem) return <ProblemPage text={problem} />
  if (!stage || !road || !plan || !sound) return <Preparing progress={progress} />
  return <Ride stage={stage} road={road} first={plan} player={sound.player} card={sound.card} />
}

function Ride({
  stage,
  road,
  first,
  player,
  card,
}: {
  stage: StageDetail
  road: RoadTable
  first: PlanDocument
  player: Player
  card: WebSoundCard
}) {
  const [plan, setPlan] = useState(first)
  const [state, setState] = useState<PlayerStatus>(player.status())
  const [call, setCall] = useState(-1)
  const [captions, setCaptions] = useState(true)
  const [memory, setMemory] = useState(() => new URLSearchParams(location.search).get('ride') === 'memory')
  const [say, setSay] = useState('')
  const [flat] = useState(() => !hasWebGl() || matchMedia('(prefers-reduced-motion: reduce)').matches)
  const planNow = useRef(first)
  const root = useRef<HTMLElement>(null)
  const car = useRef<CarState>({ station: 0, speed: 0 })
  const clock = useRef<HTMLSpanElement>(null)
  const speed = useRef<HTMLSpanElement>(null)
  const place = useRef<HTMLSpanElement>(null)
  const bar = useRef<HTMLSpanElement>(null)
  /** Script time of the last frames, milliseconds, and draw calls: what the ride bench reads. */
  const frames = useRef({ script: new Float32Array(600), seen: 0, calls: 0 })
  const { units } = stage.settings
  const profile = plan.profile!

  useEffect(() => player.subscribe(() => setState(player.status())), [player])

  const stationNow = useCallback(() => {
    carAtInPlace(planNow.current.profile!, player.stageHeard(), car.current)
    return car.current.station
  }, [player])

  const marks = useMemo(() => plan.calls.map((one) => stationAt(profile, one.actBy)), [plan, profile])

  useEffect(() => {
    let [frame, shown] = [0, -2]
    let [logged, ticks] = [-1, 0]
    const at: CarState = { station: 0, speed: 0 }
    const tick = () => {
      const now = player.stageHeard()
      const { calls, profile: table, run } = planNow.current
      carAtInPlace(table!, now, at)
      const { station } = at
      clock.current!.textContent = clockInWords(now)
      speed.current!.textContent = speedInWords(at.speed, units, 0).split(' ')[0]!
      place.current!.textContent = `stage ${lengthInWords(station, units).split(' ')[0]} of ${lengthInWords(run.length, units)}`
      bar.current!.style.left = `${Math.max(0, Math.min(1, now / run.time)) * 100}%`
      let current = -1
      for (let i = 0; i < calls.length && calls[i]!.start <= now + 0.02; i++) current = i
      if (current !== shown) {
        shown = current
        setCall(current)
      }
      if (player.log.length !== logged) {
        logged = player.log.length
        root.current!.dataset.scheduled = JSON.stringify(player.log.slice(-40))
      }
      if (ticks++ % FRAMES_TOLD === 0) {
        const { script, seen, calls: drawn } = frames.current
        root.current!.dataset.frames = JSON.stringify({ script: [...script.subarray(0, Math.min(600, seen))], drawn })
      }
      frame = requestAnimationFrame(tick)
    }
    tick()
    return () => cancelAnimationFrame(frame)
  }, [player, units])

  const replanAt = useCallback(
    async (speed: number) => {
      const target = { kind: 'average', speed } as const
      try {
        const next = await changePlan(stage.id, { target })
        // A plan on estimated lengths has no clips: the voice is measured before it is taken.
        const spoken = next.speech === 'voice' ? next : await prepareSpeech(stage.id, { target }, () => {})
        planNow.current = spoken
        player.change(runOf(spoken))
        setPlan(spoken)
        setSay(`Now at ${speedInWords(spoken.run.averageSpeed, units)} average.`)
      } catch (error) {
        if (!(error instanceof Superseded)) setSay((error as Error).message)
      }
    },
    [player, stage.id, units],
  )
  const replan = useCallback((factor: number) => replanAt(planNow.current.run.averageSpeed * factor), [replanAt])

  const toCall = useCallback(
    (index: number) => {
      const last = planNow.current.calls.length - 1
      if (last >= 0) player.jumpTo(Math.max(0, Math.min(last, index)))
    },
    [player],
  )
  const loop = () => {
    if (player.loop()) player.loopBetween(null)
    else {
      const from = plan.calls[Math.max(0, call)]
      const to = plan.calls[Math.min(plan.calls.length - 1, Math.max(0, call) + 4)]
      if (from && to) player.loopBetween({ from: from.start, to: (Math.max(to.actBy, to.end) + 1.5) as StageTime })
    }
    setSay(player.loop() ? 'Looping this call and the next four.' : 'No longer looping.')
  }
  const playPause = useCallback(() => {
    if (player.status() === 'riding') player.pause()
    else if (player.status() === 'held') player.resume()
    else player.start()
  }, [player])

  useEffect(() => {
    const keys = (event: KeyboardEvent) => {
      const tag = event.target instanceof HTMLElement ? event.target.tagName : ''
      // Fields keep their keys; a button or link keeps only the space that presses it.
      if (/^(INPUT|SELECT|TEXTAREA)$/.test(tag) || (event.key === ' ' && /^(BUTTON|A)$/.test(tag))) return
      if (event.key === ' ') playPause()
      else if (event.key === 'ArrowLeft') toCall(call - 1)
      else if (event.key === 'ArrowRight') toCall(call + 1)
      else if (event.key === 'ArrowUp') void replan(FASTER)
      else if (event.key === 'ArrowDown') void replan(1 / FASTER)
      else return
      event.preventDefault()
    }
    addEventListener('keydown', keys)
    return () => removeEventListener('keydown', keys)
  }, [playPause, toCall, replan, call])

  const over = plan.crunches.filter((crunch) => crunch.over > 0.2)
  return (
    <main className="wide drive" ref={root} data-status={state}>
      <h1 className="hidden">Drive: {stage.title}</h1>
      <div className="view">
        {flat ? (
          <PlanRide road={road} marks={marks} stationNow={stationNow} />
        ) : (
          <RibbonRoad
            road={road}
            marks={marks}
            stationNow={stationNow}
            onFrame={(script, calls) => {
              frames.current.script[frames.current.seen++ % 600] = script
              frames.current.calls = calls
            }}
          />
        )}
        <div className="reading left">
          <span className="figure" ref={clock}>
            {clockInWords(0)}
          </span>
          <span ref={place} className="soft" />
        </div>
        <div className="reading right">
          <span className="figure" ref={speed}>
            0
          </span>
          <span className="soft">
            {units === 'miles' ? 'mph' : 'km/h'} · average {speedInWords(plan.run.averageSpeed, units).split(' ')[0]}
          </span>
        </div>
        {road.source === 'notes' && <p className="drawn">road drawn from the notes, not measured</p>}
      </div>
      <div className="desk">
        <div className="captions" aria-live="off">
          {memory ? (
            <MemoryCaptions stageId={stage.id} plan={plan} player={player} card={card} />
          ) : (
            captions && <Captions plan={plan} call={call} />
          )}
        </div>
        <div className="controls">
          <button type="button" onClick={playPause}>
            {player.waiting() ? 'waiting' : PRESS[state]}
          </button>
          <button type="button" onClick={() => toCall(call - 1)}>
            back a call
          </button>
          <button type="button" onClick={() => player.start()}>
            restart
          </button>
          <button type="button" aria-pressed={player.loop() !== null} onClick={loop}>
            loop this part
          </button>
          <button type="button" onClick={() => replan(1 / FASTER)}>
            slower
          </button>
          <button type="button" onClick={() => replan(FASTER)}>
            faster
          </button>
          <RideSpeed at={plan.run.averageSpeed} usual={first.run.averageSpeed} units={units} set={replanAt} />
          <button type="button" aria-pressed={memory} onClick={() => setMemory(!memory)}>
            from memory
          </button>
          <button type="button" aria-pressed={captions} onClick={() => setCaptions(!captions)}>
            captions
          </button>
          <label className="jump">
            <span className="hidden">Jump to a call</span>
            <select value={Math.max(0, call)} onChange={(event) => toCall(Number(event.target.value))}>
              {plan.calls.map((one, i) => (
                <option key={one.index} value={i}>
                  {clockInWords(one.start)} {memory ? `call ${i + 1}` : one.say}
                </option>
              ))}
            </select>
          </label>
        </div>
        <StageLine plan={plan} bar={bar} />
        <p className="small soft foot" role="status">
          {say ||
            (over.length > 0
              ? `${over.length === 1 ? 'One place does' : `${over.length} places do`} not fit at this speed; Fit shows which.`
              : 'A rehearsal at a desk, never in a moving car. Speeds are targets for practice; marshals and the law come first.')}
        </p>
      </div>
    </main>
  )
}
