import { describe, expect, it } from 'vitest'
import { chooseWording, type WordingOption } from '../../../server/calls/wordingChoice.ts'
import { seededRandom } from '../../seededRandom.ts'

type Cost = readonly [critical: number, other: number, loss: number]

function costOf(
  options: readonly (readonly WordingOption[])[],
  critical: readonly boolean[],
  choice: readonly number[],
): Cost {
  let free = Number.NEGATIVE_INFINITY
  const cost: [number, number, number] = [0, 0, 0]
  choice.forEach((m, i) => {
    const one = options[i]![m]!
    const start = Math.max(free, one.earliest)
    cost[critical[i] ? 0 : 1] += Math.max(0, start - one.latest)
    cost[2] += one.loss
    free = start + one.length
  })
  return cost
}

function* everyChoice(n: number, m: number, chosen: number[] = []): Generator<number[]> {
  if (chosen.length === n) yield chosen
  else for (let k = 0; k < m; k++) yield* everyChoice(n, m, [...chosen, k])
}

const less = (a: Cost, b: Cost) => (a[0] - b[0] || a[1] - b[1] || a[2] - b[2]) < 0

function randomOptions(random: () => number, nested: boolean): WordingOption[][] {
  const whole = (below: number) => Math.floor(random() * below)
  let at = 0
  return Array.from({ length: 6 }, () => {
    at += whole(4)
    const earliest = at - whole(4)
    const latest = at + whole(4)
    const length = 3 + whole(3)
    return [0, 1, 2].map((m) => ({
      length: length - m,
      earliest: earliest + (nested ? 0 : whole(3)),
      latest: latest + m,
      loss: m === 0 ? 0 : m + whole(4),
    }))
  })
}

describe('chooseWording', () => {
  for (const nested of [true, false]) {
    it(`finds the least of all choices, ${nested ? 'terser wordings having wider windows' : 'whatever the windows'}`, () => {
      const random = seededRandom(nested ? 41 : 42)
      let hopeless = 0
      for (let round = 0; round < 150; round++) {
        const options = randomOptions(random, nested)
        const critical = options.map(() => random() < 0.3)
        let best: Cost = [Number.POSITIVE_INFINITY, 0, 0]
        for (const choice of everyChoice(options.length, 3)) {
          const cost = costOf(options, critical, choice)
          if (less(cost, best)) best = cost
        }
        const found = chooseWording(options, critical)
        expect([found.criticalLate, found.otherLate, found.loss]).toEqual(best)
        expect(costOf(options, critical, found.choice)).toEqual(best)
        if (!found.feasible) hopeless++
      }
      expect(hopeless).toBeGreaterThan(10)
    })
  }

  it('keeps the wording listed first when nothing presses', () => {
    const calm = [0, 1].map(() => ({ length: 1, earliest: 0, latest: 9, loss: 0 }))
    expect(chooseWording([calm]).choice).toEqual([0])
  })

  it('refuses a call that cannot be said at all', () =>
    expect(() => chooseWording([[]])).toThrow(/call 0 has no wording/))
})
