import { useEffect, useState } from 'react'
import type { PlanRequest } from '../../../server/api/wire.ts'
import { createPlayer, type Player } from '../../playback/player.ts'
import { type WebSoundCard, webSoundCard } from '../../playback/soundCard.ts'
import { loadRide, type Ride } from './ride.ts'

const WAKE_MS = 100

export interface Opened extends Ride {
  readonly card: WebSoundCard
}

/** A ride with a sound card of its own, shut when the page goes. */
export function useRide(
  stageId: string,
  average: number | null,
): { ride: Opened | null; problem: string | null; progress: { done: number; total: number } | null } {
  const [ride, setRide] = useState<Opened | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [progress, setProgress] = useState<{ done: number; total: number } | null>(null)
  useEffect(() => {
    let alive = true
    let card: WebSoundCard | null = null
    const asked: PlanRequest = average === null ? {} : { target: { kind: 'average', speed: average } }
    loadRide(stageId, asked, (done, total) => alive && setProgress({ done, total })).then(
      (loaded) => {
        if (!alive) return
        card = webSoundCard()
        setRide({ ...loaded, card })
      },
      (error: Error) => alive && setProblem(error.message),
    )
    return () => {
      alive = false
      card?.close()
    }
  }, [stageId, average])
  return { ride, problem, progress }
}

/** A player of the ride, its calls spoken or silent, woken on time. `onWake` is told the stage time then. */
export function usePlayer(ride: Opened | null, spoken: boolean, onWake: (player: Player) => void): Player | null {
  const [player, setPlayer] = useState<Player | null>(null)
  useEffect(() => {
    if (!ride) return
    const calls = ride.plan.calls.map((call, i) => ({ ...call, clip: spoken ? ride.clips[i]! : null }))
    const made = createPlayer(ride.card, { calls, profile: ride.plan.profile! })
    setPlayer(made)
    return () => made.dispose()
  }, [ride, spoken])
  useEffect(() => {
    if (!player) return
    const timer = setInterval(() => {
      player.wake(document.hidden ? 1.6 : undefined)
      onWake(player)
    }, WAKE_MS)
    return () => clearInterval(timer)
  }, [player, onWake])
  return player
}
