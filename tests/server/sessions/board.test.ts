import { describe, expect, it } from 'vitest'
import { makeBoard, type Part, recoveryOf } from '../../../server/sessions/board.ts'
import type { RunView } from '../../../server/sessions/clubWire.ts'
import { makeQuiz } from '../../../server/sessions/quiz.ts'
import { placeTap, spreadOf } from '../../../server/sessions/tapScore.ts'
import { evenCuts, makeTurns } from '../../../server/sessions/turns.ts'
import { seededRandom } from '../../seededRandom.ts'
import { evenCalls } from './evening.ts'

const calls = evenCalls(10) // starts at 1, 5, 9 …
const run: RunView = { id: 1, mode: 'taps', title: 'Even', plans: [], turns: [], quiz: [], voice: false }
const part = (name: string, errors: Record<number, number>, more: Partial<Part> = {}): Part => ({
  name,
  shown: true,
  errors: new Map(Object.entries(errors).map(([call, error]) => [Number(call), error])),
  asked: calls.map((call) => call.index),
  right: 0,
  questions: 0,
  vote: null,
  ...more,
})

describe('a tap', () => {
  it('is for the nearest call not tapped yet', () => {
    expect(placeTap(calls, new Set(), 5.4)).toEqual({ call: 1, error: expect.closeTo(0.4) })
    expect(placeTap(calls, new Set([1]), 6.5)).toEqual({ call: 2, error: -2.5 })
  })

  it('far from every call is for none', () => {
    expect(placeTap(evenCalls(3, 10), new Set(), 6)).toBeNull()
  })

  it('late and early errors have a mean and a spread', () => {
    expect(spreadOf([1, -1])).toEqual({ mean: 0, spread: Math.SQRT2 })
    expect(spreadOf([])).toEqual({ mean: null, spread: null })
  })
})

describe('the board', () => {
  const steady = part('Steady', { 0: 0.1, 1: 0.2, 2: 0.1, 3: 0.2, 4: 0.1, 5: 0.2, 6: 0.1, 7: 0.2, 8: 0.1, 9: 0.2 })
  const slipped = part('Slipped', { 0: 0, 1: 2, 2: 0.1, 3: 0.1, 4: 0, 5: 0.9, 6: 0, 7: 0, 8: 0, 9: -0.8 })

  it('counts early, on time, late and missed', () => {
    const board = makeBoard(run, calls, [slipped, part('Few', { 0: 0 })])
    expect([board.early, board.onTime, board.late, board.missed]).toEqual([1, 8, 2, 9])
  })

  it('honours the steadiest and the quickest to recover', () => {
    const board = makeBoard(run, calls, [slipped, steady])
    expect(board.mostSteady?.name).toBe('Steady')
    expect(board.bestRecovery).toEqual({ name: 'Slipped', seconds: 8 }) // from call 1 at 5 s to call 3 at 13 s
  })

  it('names nobody who did not agree, but counts them', () => {
    const board = makeBoard(run, calls, [{ ...steady, shown: false }, slipped])
    expect(JSON.stringify(board)).not.toContain('"Steady"')
    expect([board.unnamed, board.onTime]).toEqual([1, 17])
  })

  it('has every error in its histogram, the far ones in the outer bins', () => {
    const { counts } = makeBoard(run, calls, [part('Wild', { 0: -9, 1: 9, 2: 0.1 })]).histogram
    expect([counts[0], counts[23], counts[12]]).toEqual([1, 1, 1])
  })

  it('counts votes only where there was one to cast', () => {
    const voters = [part('a', {}, { vote: 'terse' }), part('b', {}, { vote: 'terse' })]
    expect(makeBoard({ ...run, mode: 'vote' }, calls, voters).votes).toEqual({ verbose: 0, terse: 2 })
    expect(makeBoard(run, calls, voters).votes).toBeNull()
  })

  it('knows no recovery from a slip that was never got over', () => {
    expect(recoveryOf(calls, part('Lost', { 0: 2 }))).toBeNull()
  })
})

describe('turns', () => {
  it('pass at the longest breath near an even spread', () => {
    const uneven = evenCalls(12).map((call) =>
      call.index >= 5 ? { ...call, start: call.start + 6, end: call.end + 6 } : call,
    )
    expect(evenCuts(uneven, 2)).toEqual([0, 5])
  })

  it('cover every call once, in order', () => {
    const readers = ['a', 'b', 'c'].map((id) => ({ id, name: id }))
    const turns = makeTurns({ calls: evenCalls(50), readers, marks: undefined, relay: false })
    expect(turns[0]!.from).toBe(0)
    expect(turns.at(-1)!.to).toBe(50)
    for (const [i, turn] of turns.slice(1).entries()) expect(turn.from).toBe(turns[i]!.to)
    expect(turns.map((turn) => turn.member)).toEqual(['a', 'b', 'c', 'a', 'b', 'c', 'a'])
  })

  it('pass at marked calls where there are marks', () => {
    const turns = makeTurns({ calls: evenCalls(9), readers: [], marks: [3, 3, 7], relay: false })
    expect(turns.map((turn) => [turn.from, turn.to])).toEqual([
      [0, 3],
      [3, 7],
      [7, 9],
    ])
  })

  it('give each crew of a relay one stretch', () => {
    const readers = ['a', 'b'].map((id) => ({ id, name: id }))
    expect(makeTurns({ calls: evenCalls(40), readers, marks: undefined, relay: true })).toHaveLength(2)
  })
})

describe('the quiz', () => {
  const quiz = makeQuiz(evenCalls(60), seededRandom(3))

  it('asks before the call is said, with the right answer among four different ones', () => {
    for (const item of quiz) {
      expect(item.closes).toBeLessThan(evenCalls(60)[item.call]!.start)
      expect(item.choices).toContain(`call ${item.call}`)
      expect(new Set(item.choices).size).toBe(4)
    }
  })

  it('does not always hide it in the same place', () => {
    expect(new Set(quiz.map((item) => item.choices.indexOf(`call ${item.call}`))).size).toBe(4)
  })

  it('asks thirty times at most, and not where calls follow closely', () => {
    expect(quiz.length).toBeLessThanOrEqual(30)
    expect(makeQuiz(evenCalls(60, 1.5), seededRandom(3))).toEqual([])
  })
})
