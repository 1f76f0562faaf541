import { type FSRSState, fsrs, Rating } from 'ts-fsrs'
import type { EpochTime } from '../units.ts'
import { DAY, type Features, type Grade, type Memory, type Review } from './drill.ts'

/**
 * ts-fsrs keeps the memory state; it chooses nothing here. Only `next_state` and `forgetting_curve` are used, with days as fractions of 86,400 s:
 * `get_retrievability` counts whole days (23 h reads as no time at all) and `next` counts UTC dates.
 */
const scheduler = fsrs({ enable_fuzz: false })
const WEAKEST = scheduler.next_state(null, 0, Rating.Again)
/** A clock set back must not give a negative time, which ts-fsrs refuses. */
const LEAST = 1
/** Easy is never given: its first stability of 8.3 days lies past most events. */
const RATING = { 'in time': Rating.Good, late: Rating.Hard, no: Rating.Again } as const
/** Keeps the logarithm of no time at all finite: about three minutes. */
const SOON = 0.002
const NEVER_SURE = 1e-6

/** The first hearing leaves the weakest trace; later ones only count. */
export function afterListen(memory: Memory | null, at: EpochTime): Memory {
  if (memory === null) return { ...fromState(WEAKEST), graded: at, met: at, successes: 0, others: 1 }
  return { ...memory, met: at, others: memory.others + 1 }
}

/** An answer: stability and difficulty move by FSRS, success or failure is counted. `at` before the last answer counts as one second after it. */
export function afterAnswer(memory: Memory | null, at: EpochTime, grade: Grade): Memory {
  const rating = RATING[grade]
  const right = grade === 'no' ? 0 : 1
  if (memory === null)
    return {
      ...fromState(scheduler.next_state(null, 0, rating)),
      graded: at,
      met: at,
      successes: right,
      others: 1 - right,
    }
  const days = Math.max(at - memory.graded, LEAST) / DAY
  return {
    ...fromState(scheduler.next_state(toState(memory), days, rating)),
    graded: at,
    met: at,
    successes: memory.successes + right,
    others: memory.others + 1 - right,
  }
}

/** The call's words were changed: what was known of it counts as once heard, its log stays. */
export function afterEdit(memory: Memory | null): Memory | null {
  if (memory === null) return null
  return {
    ...memory,
    stability: Math.min(memory.stability, WEAKEST.stability),
    successes: 0,
    others: memory.others + memory.successes,
  }
}

/** FSRS's chance of recall `at` a moment, 0…1: (1 + factor · days / stability)^decay (ts-fsrs forgetting_curve). */
export function recallAt(memory: Memory, at: EpochTime): number {
  return scheduler.forgetting_curve(Math.max(at - memory.graded, 0) / DAY, memory.stability)
}

/** x = [1, logit R − 2, ln(1 + successes), ln(1 + failures and listens), ln(days since last met + .002)] (docs/method/learning.md, Forecast). */
export function featuresAt(memory: Memory, at: EpochTime): Features {
  const r = Math.min(1 - NEVER_SURE, Math.max(NEVER_SURE, recallAt(memory, at)))
  return [
    1,
    Math.log(r / (1 - r)) - 2,
    Math.log(1 + memory.successes),
    Math.log(1 + memory.others),
    Math.log(Math.max(at - memory.met, 0) / DAY + SOON),
  ]
}

/** Memory after one more line of the log. */
export function afterReview(memory: Memory | null, review: Pick<Review, 'at' | 'how' | 'grade'>): Memory | null {
  if (review.how === 'edited') return afterEdit(memory)
  if (review.how === 'listen') return afterListen(memory, review.at)
  // Nobody could judge it: the words were heard all the same.
  if (review.grade === null) return afterListen(memory, review.at)
  return afterAnswer(memory, review.at, review.grade)
}

const toState = (memory: Memory): FSRSState => ({ stability: memory.stability, difficulty: memory.difficulty })
const fromState = (state: FSRSState) => ({ stability: state.stability, difficulty: state.difficulty })
