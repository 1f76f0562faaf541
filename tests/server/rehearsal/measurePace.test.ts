import { describe, expect, it } from 'vitest'
import { measurePace } from '../../../server/rehearsal/measurePace.ts'
import { scoreTake, type TakeCall } from '../../../server/rehearsal/scoreTake.ts'

const WORDS = ['left', 'five left', 'five left long', 'caution five left', 'seventy left tightens into']
/** Counted by hand: cau-tion, tight-ens and in-to have two, sev-en-ty three, the others one. */
const SYLLABLES = [1, 2, 3, 4, 8]

const plan = Array.from({ length: 20 }, (_, index): TakeCall => {
  const at = 3 * index
  const say = WORDS[index % WORDS.length]!
  return {
    index,
    say,
    station: 0,
    start: at,
    end: at,
    earliest: at - 5,
    latest: at + 5,
    preferred: at,
    actBy: at,
    deadline: null,
  }
})
const take = (slower: number) =>
  scoreTake(plan, {
    calls: plan.map(({ index }) => {
      const from = 3 * index
      return { index, from, to: from + (slower * SYLLABLES[index % 5]!) / 6, kind: 'read', confidence: 0.3 }
    }),
    overFloor: 40,
    until: 300,
    rescued: [],
    speech: 20,
  })

describe('a measured reading pace', () => {
  it('is the pace the calls were made with, 6 syllables a second', () => {
    expect(measurePace([take(1)])!.syllablesPerSecond).toBeCloseTo(6, 6)
  })

  it('takes for the pause what few gaps are shorter than: 3 s less 8 syllables, the longest call', () => {
    expect(measurePace([take(1.5)])!.pause).toBeCloseTo(1, 6)
    expect(measurePace([take(2.1)])!.pause).toBeCloseTo(3 - (2.1 * 8) / 6, 6)
  })

  it('states how far takes differ from it', () => {
    expect(measurePace([take(0.9), take(1.1)])!.takeSpread).toBeCloseTo(0.1, 2)
  })

  it('is not offered on a handful of calls', () => {
    const few = take(1)
    expect(measurePace([{ ...few, calls: few.calls.slice(0, 9) }])).toBeNull()
  })
})
