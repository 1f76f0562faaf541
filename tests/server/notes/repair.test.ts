import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { acceptCertain, applyFixes } from '../../../server/notes/acceptCertain.ts'
import { parseNotes } from '../../../server/notes/parseNotes.ts'

const repaired = (text: string) => acceptCertain(text, { dictated: true }).text
const SPOKEN = [
  'for',
  'left',
  'to',
  'right',
  '55',
  '340',
  'write',
  'over',
  'of',
  'a',
  'crest',
  'in',
  'side',
  '14',
  ',',
  '!',
]

describe('dictation repair', () => {
  it('hears a homophone as the grade it was', () => {
    expect(repaired('60 for left 80')).toBe('60 four left 80')
  })

  it('parts a distance and a grade that were written as one number', () => {
    expect(repaired('keep left 76 left 40')).toBe('keep left 70, 6 left 40')
  })

  it('makes two words one where they are one in the table', () => {
    expect(repaired('four left rocks in side 60')).toBe('four left rocks inside 60')
  })

  it('offers nothing certain on clean typed notes', () => {
    expect(acceptCertain('5 left long, 60, 3 right tightens 2, 120').taken).toEqual([])
  })

  it('is sure of a teen for a ty only where a crew says round distances', () => {
    const teenOf = (distances: readonly number[]) =>
      parseNotes(`5 left thirteen 4 right ${distances.map((one) => `${one} 3 left`).join(' ')}`, {
        dictated: true,
        repair: true,
      }).diagnostics.find((one) => one.code === 'teen')?.certain
    expect(teenOf([40, 60, 80, 100, 120, 50, 30, 70, 90])).toBe(true)
    expect(teenOf([40, 60, 83, 100, 117, 50, 30, 70, 90])).toBe(false)
  })

  it.each(['fifteen', 'one fifteen'])('is never sure that %s was fifty: it is a round distance too', (said) => {
    const text = `5 left ${said} 4 right ${[40, 60, 80, 100, 120, 30, 70, 90].map((one) => `${one} 3 left`).join(' ')}`
    // The road has nothing at 15 or 115 m.
    const distanceCost = (metres: number) => (metres % 100 === 15 ? 2 : 0)
    const teens = parseNotes(text, { dictated: true, repair: true, distanceCost }).diagnostics
    expect(teens.filter((one) => one.code === 'teen').map((one) => one.certain)).toEqual([false])
  })

  it('never calls a teen for a ty certain by itself', () => {
    const teens = parseNotes('5 left thirteen 4 right', { dictated: true, repair: true }).diagnostics
    expect(teens.filter((one) => one.code === 'teen').map((one) => one.certain)).toEqual([false])
  })

  it('leaves the text untouched until a fix is taken', () => {
    expect(parseNotes('60 for left', { dictated: true, repair: true }).notes.text).toBe('60 for left')
  })

  it('takes the names every object has for words like any other', () => {
    const text = 'constructor left toString 60 __proto__ hasOwnProperty valueOf'
    for (const dictated of [true, false]) expect(parseNotes(text, { dictated, repair: true }).notes.text).toBe(text)
  })

  it('keeps elements in order and inside the text whatever was said', () => {
    fc.assert(
      fc.property(fc.array(fc.oneof(fc.constantFrom(...SPOKEN), fc.string())), (words) => {
        const text = words.join(' ')
        let at = 0
        for (const element of parseNotes(text, { repair: true }).notes.calls.flatMap((call) => call.elements)) {
          expect(element.from).toBeGreaterThanOrEqual(at)
          expect(text.slice(element.from, element.to)).toBe(element.text)
          at = element.to
        }
      }),
      { numRuns: 200, seed: 7 },
    )
  })
})

describe('dictated or typed', () => {
  const dictated = (text: string) => parseNotes(text).notes.dictated
  const again = (text: string) => `${text} `.repeat(6)
  it('is dictated where words run on without a comma', () =>
    expect(dictated(again('five left over crest 60 three right long'))).toBe(true))
  it('is typed where shorthand runs on', () => expect(dictated(again('6R 80 4L- 60 HpR dc 110 3L > 2'))).toBe(false))
  it('is typed where calls are parted', () =>
    expect(dictated(again('five left over crest, sixty, three right long.'))).toBe(false))
})

describe('applying fixes', () => {
  it('refuses a range outside the text', () => {
    expect(() => applyFixes('ab', [{ label: '', from: 1, to: 3, insert: '' }])).toThrow(RangeError)
  })
})
