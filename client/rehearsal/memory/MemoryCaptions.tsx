import { useEffect, useState, useSyncExternalStore } from 'react'
import type { PlanDocument } from '../../../server/api/wire.ts'
import type { StageTime } from '../../../server/units.ts'
import { request, send } from '../../connection/request.ts'
import { pageNow } from '../../playback/clocks.ts'
import type { Player } from '../../playback/player.ts'
import type { WebSoundCard } from '../../playback/soundCard.ts'
import { AnswerKeys } from './AnswerKeys.tsx'
import { MemoryRide } from './memoryRide.ts'
import type { Way } from './rideDoors.ts'
import { useEars } from './useEars.ts'
import './memory.css'

const WAYS: readonly { readonly id: Way; readonly name: string }[] = [
  { id: 'judge', name: 'judge myself' },
  { id: 'choose', name: 'choose' },
  { id: 'type', name: 'type it' },
  { id: 'say', name: 'say it' },
]
/** The road seen before the call at which a ride is taken up again. */
const SEEN = 3
const WAY_KEY = 'say-when.memory-way'
const KEPT_KEY = 'say-when.memory-answers.'

/**
 * From memory: what is due is hidden, by as much as is known of it; the crew gives it, then the voice does, in time as on the stage. Begins where the last
 * ride stopped.
 */
export function MemoryCaptions({
  stageId,
  plan,
  player,
  card,
}: {
  stageId: string
  plan: PlanDocument
  player: Player
  card: WebSoundCard
}) {
  const [problem, setProblem] = useState<string | null>(null)
  const [ride] = useState(() => {
    const zone = Intl.DateTimeFormat().resolvedOptions().timeZone
    const made = new MemoryRide(plan, {
      player,
      ride: (from, { run }) =>
        request(
          `/stages/${stageId}/learn/ride`,
          send('POST', {
            target: { kind: 'average', speed: run.averageSpeed },
            zone,
            ...(from === undefined ? {} : { from }),
          }),
        ),
      send: (answers) => request(`/stages/${stageId}/learn/answers`, send('POST', { answers, zone })),
      newId: () => crypto.randomUUID(),
      kept: () => localStorage.getItem(`${KEPT_KEY}${stageId}`),
      keep: (text) => localStorage.setItem(`${KEPT_KEY}${stageId}`, text),
      now: pageNow,
    })
    const way = localStorage.getItem(WAY_KEY)
    if (WAYS.some((one) => one.id === way)) made.setWay(way as Way)
    return made
  })
  useSyncExternalStore(ride.subscribe, ride.version)
  const ears = useEars(ride, plan, player, card)

  // biome-ignore lint/correctness/useExhaustiveDependencies: once, when the ride from memory begins
  useEffect(() => {
    let alive = true
    ride.open().then(
      (position) => {
        if (alive && player.status() === 'ready' && position > 0)
          player.jumpToTime(Math.max(0, plan.calls[position]!.start - SEEN) as StageTime)
      },
      (error: Error) => alive && setProblem(error.message),
    )
    let frame = requestAnimationFrame(function tick() {
      ride.tick()
      frame = requestAnimationFrame(tick)
    })
    return () => {
      alive = false
      cancelAnimationFrame(frame)
      player.gateAt(null)
      void ride.flush()
    }
  }, [ride])
  useEffect(() => ride.change(plan), [ride, plan])

  const said = plan.calls[ride.said]
  const due = ride.due()
  const hidden = ride.view?.calls[ride.said]?.gap === 'run' && !ride.isNew(ride.view.calls[ride.said]!)
  return (
    <>
      <p className="now" data-said={ride.said}>
        {said ? <span>{hidden ? '…' : said.say}</span> : ' '}
      </p>
      <p className="next" data-gap={due?.gap}>
        {!ride.view
          ? ' '
          : !due
            ? 'That was the last call.'
            : ride.isNew(due)
              ? `new: ${plan.calls[ride.said + 1]!.say}`
              : (due.blanked ?? (due.gap === 'run' ? 'go on' : 'then?'))}
      </p>
      <AnswerKeys ride={ride} />
      <fieldset className="row ways">
        <legend className="hidden">How each call is given back</legend>
        {WAYS.map((one) => (
          <button
            key={one.id}
            type="button"
            aria-pressed={ride.way === one.id}
            onClick={() => {
              localStorage.setItem(WAY_KEY, one.id)
              ride.setWay(one.id)
            }}
          >
            {one.name}
          </button>
        ))}
        <button type="button" aria-pressed={ride.isCut()} onClick={() => ride.setCut(!ride.isCut())}>
          leave out empty road
        </button>
      </fieldset>
      <p className="small soft memory-note" role="status">
        {problem ?? ears ?? (ride.note || hintOf(ride.way))}
      </p>
    </>
  )
}

function hintOf(way: Way): string {
  if (way === 'judge') return 'Say each call before the voice does; then 1 in time, 2 late, 3 no.'
  if (way === 'choose') return 'Keys a to d choose; the car waits for you. Then e easy or h hard.'
  if (way === 'type') return 'Type the call and press Enter; the car waits for you.'
  return 'Say each call into the microphone before the voice does; 1, 2 and 3 mend what was heard.'
}
