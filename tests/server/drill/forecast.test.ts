import { describe, expect, it } from 'vitest'
import { DAY } from '../../../server/drill/drill.ts'
import { chanceAt, lessClaims, overClaim, passCurve, rangeOf } from '../../../server/drill/forecast.ts'
import { fitHead } from '../../../server/drill/forecastHead.ts'
import { afterAnswer, afterEdit, afterListen, featuresAt } from '../../../server/drill/memory.ts'
import { knownOnDays, knownOnTheDay } from '../../../server/drill/stageForecast.ts'
import { seededRandom } from '../../seededRandom.ts'

const NOW = 1_900_000_000
const PRIOR = fitHead([], 'recall')
const right = (n: number) => {
  let memory = afterListen(null, NOW - n * DAY)
  for (let i = n - 1; i >= 0; i--) memory = afterAnswer(memory, NOW - i * DAY, 'in time')
  return memory
}

describe('a forecast for several days', () => {
  it('says of each what a forecast for it alone says', () => {
    const evenings = [0.2, 1.2, 2.2, 3.2].map((days) => NOW + days * DAY)
    const q = { memories: [right(2), null], meetings: [evenings, evenings], head: PRIOR, overnight: [], claims: 0.1 }
    const moments = [0.1, 1, 2, 3, 9].map((days) => NOW + days * DAY)
    const alone = moments.map((at) => {
      const meetings = q.meetings.map((list) => list.filter((one) => one <= at))
      return knownOnTheDay({ ...q, meetings, at }, NOW)
    })
    knownOnDays(q, moments, NOW).forEach((share, i) => {
      expect(share).toBeCloseTo(alone[i]!, 12)
    })
  })
})

describe('chance of a call on the day', () => {
  it('grows with answers that were right', () => {
    const chances = [1, 2, 4, 8].map((n) => chanceAt(right(n), NOW + DAY, PRIOR))
    expect(chances).toEqual([...chances].sort((a, b) => a - b))
  })

  it('grows with meetings still planned', () => {
    const memory = right(1)
    expect(chanceAt(memory, NOW + 3 * DAY, PRIOR, [NOW + DAY, NOW + 2 * DAY])).toBeGreaterThan(
      chanceAt(memory, NOW + 3 * DAY, PRIOR),
    )
  })

  it('leaves out meetings after the moment', () => {
    expect(chanceAt(right(1), NOW + DAY, PRIOR, [NOW + 5 * DAY])).toBe(chanceAt(right(1), NOW + DAY, PRIOR))
  })

  it('falls to less than half when the words were changed', () => {
    const changed = afterEdit(right(6))!
    expect(changed.successes).toBe(0)
    expect(chanceAt(changed, NOW + DAY, PRIOR)).toBeLessThan(chanceAt(right(6), NOW + DAY, PRIOR) / 2)
  })
})

describe('the head', () => {
  it('is its prior without answers', () => {
    expect(PRIOR).toEqual([-0.6, 0.5, 1.1, 0, -0.25])
  })

  it('learns that a crew forgets more than the prior says', () => {
    const features = featuresAt(right(3), NOW + DAY)
    const evidence = Array.from({ length: 200 }, (_, i) => ({ recalled: i % 5 === 0, inTime: false, features }))
    const memory = right(3)
    expect(chanceAt(memory, NOW + DAY, fitHead(evidence, 'recall'))).toBeCloseTo(0.2, 1)
  })

  it('comes to the same weights from those fitted before', () => {
    const evidence = Array.from({ length: 300 }, (_, i) => ({
      recalled: i % 3 > 0,
      inTime: i % 3 > 1,
      features: featuresAt(right(1 + (i % 5)), NOW + (1 + (i % 4)) * DAY),
    }))
    const before = fitHead(evidence.slice(0, 290), 'recall')
    fitHead(evidence, 'recall', before).forEach((one, i) => {
      expect(one).toBeCloseTo(fitHead(evidence, 'recall')[i]!, 5)
    })
  })

  it('stays at rest when every answer was right, or every one wrong', () => {
    const random = seededRandom(5)
    for (const recalled of [true, false]) {
      const evidence = Array.from({ length: 3000 }, () => ({
        recalled,
        inTime: recalled,
        features: featuresAt(right(1 + Math.floor(random() * 6)), NOW + random() * 2 * DAY),
      }))
      const head = fitHead(evidence, 'recall')
      expect(head.every((one) => Math.abs(one) < 12)).toBe(true)
      expect(chanceAt(right(3), NOW + DAY, head) > 0.9).toBe(recalled)
    }
  })
})

describe('chance by how often a call was met', () => {
  it('is the prior without answers and follows them with', () => {
    expect(passCurve([]).at(4)).toBeCloseTo(1 / (1 + Math.exp(3.2 - 2.2 * Math.log(4))), 9)
    const sure = passCurve(Array.from({ length: 400 }, () => ({ passes: 3, recalled: true })))
    expect(sure.at(3)).toBeGreaterThan(0.95)
  })
})

describe('what is told', () => {
  it('is too early to say on the first two evenings', () => {
    expect([1, 2, 3].map((evening) => rangeOf(0.8, evening, 7).early)).toEqual([true, true, false])
  })

  it('narrows from twelve to five points, and stays wide with few nights', () => {
    const width = (evenings: number, nights: number) => {
      const { low, high } = rangeOf(0.5, evenings, nights)
      return Math.round((high - low) * 50)
    }
    expect([3, 4, 5, 6].map((evenings) => width(evenings, 7))).toEqual([12, 8, 5, 5])
    expect(width(3, 3)).toBe(12)
  })

  it('never leaves nothing to everything', () => {
    expect(rangeOf(0.98, 6, 7).high).toBe(1)
    expect(rangeOf(0.02, 6, 7).low).toBe(0)
  })

  it('takes off what a crew claims and does not know', () => {
    expect(overClaim({ falseClaims: 0, unknownChecked: 0 })).toBe(0.1)
    expect(lessClaims(0.55, 0.1)).toBeCloseTo(0.5, 12)
    expect(lessClaims(0.05, 0.1)).toBe(0)
    expect(() => overClaim({ falseClaims: 3, unknownChecked: 2 })).toThrow(/3 false claims of 2/)
  })
})
