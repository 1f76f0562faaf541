import type { AnswerSent, RideView } from '../../../server/api/learnWire.ts'
import type { PlanDocument } from '../../../server/api/wire.ts'
import type { Seconds } from '../../../server/units.ts'
import type { Player } from '../../playback/player.ts'
import type { AnswerDoors } from './answerQueue.ts'

/** How a call is given back before the voice says it. */
export type Way = 'say' | 'type' | 'choose' | 'judge'
export type Grade = 'in time' | 'late' | 'no'

/** What a ride from memory asks of the rest of the page. */
export interface RideDoors extends AnswerDoors {
  readonly player: Pick<Player, 'stageHeard' | 'status' | 'gateAt' | 'waiting' | 'loop' | 'jumpToTime' | 'wake'>
  /** What is known of each call, for the times of `plan`; `from`: the note index from which choices are wanted. */
  ride(from: number | undefined, plan: PlanDocument): Promise<RideView>
  /** Steady seconds. */
  now(): Seconds
}

/** An answer that was given and waits for its easy or hard; `position` in the plan. */
export interface Given {
  readonly position: number
  readonly how: AnswerSent['how']
  readonly text?: string
  readonly took?: Seconds
  readonly claimed?: boolean
  grade?: Grade | null
  hard?: boolean
}
