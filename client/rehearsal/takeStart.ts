import type { AudioTime, Seconds, StageTime } from '../../server/units.ts'
import type { Player } from '../playback/player.ts'
import type { WebSoundCard } from '../playback/soundCard.ts'

/** A microphone's own delay where the round trip was not measured. */
const MICROPHONE_DELAY: Seconds = 0.01

/**
 * Stage time of a take's first sample, which the card recorded at `recordedAt`: who speaks answers what was played `roundTrip` earlier. Where that was not
 * measured, what the card tells of itself and a little for the microphone (docs/method/reading.md, Clock).
 */
export function takeStart(
  player: Pick<Player, 'stageHeard'>,
  card: WebSoundCard,
  recordedAt: AudioTime,
  roundTrip: Seconds | null,
): StageTime {
  const { outputLatency, baseLatency } = card.context
  const delay = roundTrip ?? (outputLatency || baseLatency || 0) + MICROPHONE_DELAY
  return (player.stageHeard() + (recordedAt - card.heard()) - delay) as StageTime
}
