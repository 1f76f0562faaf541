import { createEmptyCard, type FSRSState, type Grade as FsrsGrade, fsrs, Rating } from 'ts-fsrs'
import { describe, expect, it } from 'vitest'
import { DAY } from '../../server/drill/drill.ts'
import { afterAnswer, recallAt } from '../../server/drill/memory.ts'

/** Source of every value here: ts-fsrs (open-spaced-repetition), packages/fsrs/__tests__/FSRS-6.test.ts and forgetting_curve.test.ts; read there. */
const { Again, Good } = Rating
const START = 1_900_000_000

describe('published test vectors of ts-fsrs', () => {
  it('gives the intervals of thirteen answers', () => {
    const scheduler = fsrs({ enable_fuzz: false })
    const ratings: FsrsGrade[] = [Good, Good, Good, Good, Good, Good, Again, Again, Good, Good, Good, Good, Good]
    let card = createEmptyCard(new Date('2022-12-29T12:30:00Z'))
    let now = new Date('2022-12-29T12:30:00Z')
    const days = ratings.map((rating) => {
      card = scheduler.next(card, now, rating).card
      now = card.due
      return card.scheduled_days
    })
    expect(days).toEqual([0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21])
  })

  it('ends at the published memory state by next_state', () => {
    const scheduler = fsrs({ enable_fuzz: false })
    const ratings = [Again, Good, Good, Good, Good, Good]
    const gaps = [0, 0, 1, 3, 8, 21]
    let state: FSRSState | null = null
    ratings.forEach((rating, i) => {
      state = scheduler.next_state(state, gaps[i]!, rating)
    })
    expect(state!.stability).toBeCloseTo(53.62691, 4)
    expect(state!.difficulty).toBeCloseTo(6.3574867, 4)
  })

  it('begins each grade at its published stability and difficulty', () => {
    const first = (['no', 'late', 'in time'] as const).map((grade) => afterAnswer(null, START, grade))
    expect(first.map((one) => one.stability)).toEqual([0.212, 1.2931, 2.3065])
    expect(first.map((one) => one.difficulty)).toEqual([6.4133, 5.11217071, 2.11810397])
  })
})

describe('our memory against ts-fsrs itself', () => {
  it('is the same state after answers one, three, eight and twenty-one days apart', () => {
    const scheduler = fsrs({ enable_fuzz: false })
    let own = afterAnswer(null, START, 'no')
    let theirs = scheduler.next_state(null, 0, Again)
    let at = START
    for (const days of [1, 3, 8, 21]) {
      at += days * DAY
      own = afterAnswer(own, at, 'in time')
      theirs = scheduler.next_state(theirs, days, Good)
    }
    expect([own.stability, own.difficulty]).toEqual([theirs.stability, theirs.difficulty])
  })
})

describe('the forgetting curve by its definition', () => {
  /** R(t, S) = (1 + F t / S)^D, D = −w20, F = e^(ln 0.9 / D) − 1 (ts-fsrs, computeDecayFactor; rounded to eight places there). */
  const DECAY = -0.1542
  const FACTOR = Math.exp(Math.log(0.9) / DECAY) - 1
  const memory = (stability: number) => ({ ...afterAnswer(null, START, 'in time'), stability })

  it('is nine tenths when the time passed is the stability', () => {
    for (const stability of [0.3, 2, 40])
      expect(recallAt(memory(stability), START + stability * DAY)).toBeCloseTo(0.9, 6)
  })

  it('follows the formula at published times and stabilities', () => {
    const cases: [number, number][] = [
      [1, 1.2931],
      [5, 30],
      [30, 180],
      [90, 365],
    ]
    for (const [days, stability] of cases)
      expect(recallAt(memory(stability), START + days * DAY)).toBeCloseTo((1 + (FACTOR * days) / stability) ** DECAY, 7)
  })
})

describe('traps of its date arithmetic', () => {
  it('counts hours, where whole days would read 23 of them as none', () => {
    const memory = afterAnswer(null, START, 'no')
    expect(recallAt(memory, START + 23 * 3600)).toBeLessThan(recallAt(memory, START + 12 * 3600))
  })

  it('takes a clock set back for one second, where ts-fsrs throws', () => {
    const memory = afterAnswer(null, START, 'no')
    expect(() => fsrs({}).next_state({ stability: 1, difficulty: 5 }, -1, Good)).toThrow(/delta_t/)
    expect(afterAnswer(memory, START - 7200, 'in time').stability).toBe(
      afterAnswer(memory, START + 1, 'in time').stability,
    )
  })
})
