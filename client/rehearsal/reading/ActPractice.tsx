import { useCallback, useEffect, useRef, useState } from 'react'
import type { NewTake, TakeDetail } from '../../../server/api/wireTakes.ts'
import type { ActedCall } from '../../../server/rehearsal/scorePresses.ts'
import type { StageTime } from '../../../server/units.ts'
import { request, send } from '../../connection/request.ts'
import type { Player } from '../../playback/player.ts'
import { RoadView } from './RoadView.tsx'
import { aboutTake } from './ride.ts'
import { dayOf, secondsInWords } from './takeInWords.ts'
import { type Opened, usePlayer } from './useRide.ts'
import { useSpokenAct } from './useSpokenAct.ts'

/** Seconds the take's sound may run off the ride before it is set right. */
const APART = 0.08

/** Calls as a take has them: where one was heard, its own start and end stand in for the plan's. */
function asRead(about: NewTake, take: TakeDetail | null): NewTake {
  const heard = new Map(take?.score?.calls.map((call) => [call.index, call]))
  const calls = about.calls.map((call) => {
    const read = heard.get(call.index)
    return read?.start == null || read.end === null ? call : { ...call, start: read.start, end: read.end }
  })
  return { ...about, calls }
}

/**
 * The mirror: the driver listens, to the voice or to a take, and presses a key when they would act, or says a word. Each press is set against its call's act-by; reactions count from
 * the end of the words as they were heard.
 */
export function ActPractice({ ride, take }: { ride: Opened; take: TakeDetail | null }) {
  const { stage, plan, road } = ride
  const sound = useRef<HTMLAudioElement>(null)
  const presses = useRef<number[]>([])
  const [count, setCount] = useState(0)
  const [acted, setActed] = useState<readonly ActedCall[] | null>(null)
  const [riding, setRiding] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  const keep = useCallback(
    async (player: Player) => {
      const until = player.stageHeard()
      sound.current?.pause()
      setRiding(false)
      try {
        const about = aboutTake(plan, {
          kind: 'act',
          from: Math.min(0, plan.calls[0]?.start ?? 0),
          notes: 'hidden',
          device: '',
          roundTrip: null,
        })
        const { id } = await request<{ id: string }>(`/stages/${stage.id}/takes`, send('POST', asRead(about, take)))
        await request<TakeDetail>(
          `/stages/${stage.id}/takes/${id}/presses`,
          send('PUT', { presses: presses.current, until }),
        )
        setActed(await request<ActedCall[]>(`/stages/${stage.id}/takes/${id}/acted`))
      } catch (error) {
        setProblem((error as Error).message)
      }
    },
    [plan, stage.id, take],
  )
  const wasRiding = useRef(false)
  wasRiding.current = riding
  const onWake = useCallback(
    (player: Player) => {
      if (!wasRiding.current) return
      if (player.status() === 'finished') void keep(player)
      else if (take) follow(sound.current!, player.stageHeard() - take.about.from)
    },
    [keep, take],
  )
  const player = usePlayer(ride, take === null, onWake)
  const act = useCallback(() => {
    if (!player || player.status() !== 'riding') return
    presses.current.push(player.stageHeard())
    setCount(presses.current.length)
  }, [player])
  const saying = useSpokenAct(ride.card, act)
  useEffect(() => {
    const key = (event: KeyboardEvent) => {
      const tag = event.target instanceof HTMLElement ? event.target.tagName : ''
      if (
        event.repeat ||
        !(event.key === ' ' || event.key === 'Enter') ||
        (/^(BUTTON|A)$/.test(tag) && !wasRiding.current)
      )
        return
      if (!wasRiding.current) return
      event.preventDefault()
      act()
    }
    addEventListener('keydown', key)
    return () => removeEventListener('keydown', key)
  }, [act])
  const start = () => {
    presses.current = []
    setCount(0)
    setActed(null)
    void ride.card.resume().then(() => {
      player?.start()
      setRiding(true)
    })
  }
  const end = () => {
    if (!player) return
    player.pause()
    void keep(player)
  }
  const late = acted?.filter((one) => one.afterActBy !== null && one.afterActBy > 0) ?? []
  return (
    <main className="wide drive read" data-status={riding ? 'riding' : acted ? 'done' : 'ready'}>
      <h1 className="hidden">Act on the call: {stage.title}</h1>
      <RoadView
        road={road}
        plan={plan}
        units={stage.settings.units}
        stageNow={() => player?.stageHeard() ?? (0 as StageTime)}
      />
      <div className="desk">
        <div className="controls">
          {riding ? (
            <>
              <button type="button" className="act" onPointerDown={act}>
                act now ({count})
              </button>
              <button type="button" onClick={end}>
                end
              </button>
            </>
          ) : (
            <button type="button" onClick={start} disabled={!player}>
              start
            </button>
          )}
          <button type="button" aria-pressed={saying.on} onClick={saying.turn} disabled={riding}>
            say it instead of pressing
          </button>
        </div>
        {take && (
          // biome-ignore lint/a11y/useMediaCaption: the calls stand in the table afterwards
          <audio ref={sound} preload="auto" src={`/api/stages/${stage.id}/takes/${take.id}/sound`} />
        )}
        {(problem ?? saying.problem) && (
          <p className="problem" role="alert">
            {problem ?? saying.problem}
          </p>
        )}
        <p className="foot small" role="status">
          {acted
            ? `${acted.filter((one) => one.press !== null).length} of ${acted.length} calls acted on, ${late.length} after their act-by.`
            : `Listen${take ? ` to the take of ${dayOf(take.startedAt)}` : ''}, and ${
                saying.on ? 'say a word' : 'press space (or the button)'
              } at the moment you would act on each call: brake, lift or turn in.${
                saying.on ? ' Wear headphones: what the microphone hears of the calls would count as yours.' : ''
              }`}
        </p>
        {acted && (
          <table className="acted">
            <thead>
              <tr>
                <th>call</th>
                <th className="number">pressed after its words</th>
                <th className="number">against act-by</th>
              </tr>
            </thead>
            <tbody>
              {acted.map((one) => (
                <tr key={one.index}>
                  <td>{one.say}</td>
                  <td className="number">{one.reaction === null ? 'no press' : `${one.reaction.toFixed(1)} s`}</td>
                  <td className={one.afterActBy !== null && one.afterActBy > 0 ? 'number over' : 'number'}>
                    {one.afterActBy === null ? '' : secondsInWords(one.afterActBy)}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        )}
      </div>
    </main>
  )
}

/** Keeps the take's sound with the ride, `at` seconds into it. */
function follow(element: HTMLAudioElement, at: number): void {
  if (at < 0 || at > element.duration) return
  if (Math.abs(element.currentTime - at) > APART) element.currentTime = at
  if (element.paused) void element.play().catch(() => {})
}
