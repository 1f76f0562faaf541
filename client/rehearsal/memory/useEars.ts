import { useEffect, useRef, useState } from 'react'
import type { PlanDocument } from '../../../server/api/wire.ts'
import type { Player } from '../../playback/player.ts'
import type { WebSoundCard } from '../../playback/soundCard.ts'
import { Ears } from './ears.ts'
import type { MemoryRide } from './memoryRide.ts'

/** The microphone of a ride from memory while it is said; what is to be told of it, in words, or null. */
export function useEars(ride: MemoryRide, plan: PlanDocument, player: Player, card: WebSoundCard): string | null {
  const [words, setWords] = useState<string | null>(null)
  const planNow = useRef(plan)
  planNow.current = plan
  const saying = ride.way === 'say'
  useEffect(() => {
    if (!saying) return
    const ears = new Ears(card, player, () => planNow.current, {
      heard: (position, grade) => ride.heard(position, grade),
      meanings: () => ride.view?.calls.map((call) => call.meaning) ?? [],
      tell: setWords,
      listening: (open) => {
        ride.hears = open
      },
    })
    void ears.open()
    let frame = requestAnimationFrame(function tick() {
      ears.tick()
      frame = requestAnimationFrame(tick)
    })
    return () => {
      cancelAnimationFrame(frame)
      ears.close()
      setWords(null)
    }
  }, [saying, ride, player, card])
  return words
}
