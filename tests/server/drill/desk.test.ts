import { describe, expect, it } from 'vitest'
import { callMarks } from '../../../server/drill/callMark.ts'
import { choicesFor } from '../../../server/drill/choices.ts'
import { gapsOf, withBlanks } from '../../../server/drill/gaps.ts'
import { itemsOf } from '../../../server/drill/items.ts'
import { deskLimit, gradeOf, meansTheSame } from '../../../server/drill/judge.ts'
import { chooseMoments } from '../../../server/drill/moments.ts'
import { parseNotes } from '../../../server/notes/parseNotes.ts'

const notes = (text: string) => parseNotes(text, {}).notes
const STAGE = notes(
  '5 left long, 60\n3 right, 40\n6 left over crest, 100\ncaution 2 right tightens, 30\n5 left, 50\n4 right',
)

describe('a typed answer', () => {
  const call = notes("5 left long don't cut, 60").calls[0]!
  it('is right in other spelling, other order and without the distance', () => {
    for (const typed of ["5 left long don't cut", 'L5 long dont cut 80', "5 left don't cut long"])
      expect([typed, meansTheSame(call, notes(typed))]).toEqual([typed, true])
  })

  it('is wrong with another grade, side or a word less or more', () => {
    for (const typed of [
      "4 left long don't cut",
      "5 right long don't cut",
      '5 left long',
      "5 left long don't cut tightens",
      '',
    ])
      expect([typed, meansTheSame(call, notes(typed))]).toEqual([typed, false])
  })

  it('may take longer the longer it is', () => {
    const limit = deskLimit('typed', '5 left long')
    expect([gradeOf(true, limit, limit), gradeOf(true, limit + 1, limit), gradeOf(false, 0, limit)]).toEqual([
      'in time',
      'late',
      'no',
    ])
    expect(deskLimit('typed', '5 left long tightens 3')).toBeGreaterThan(limit)
  })
})

describe('choices', () => {
  it('hold the right call once and three that mean something else', () => {
    const { texts, right } = choicesFor(callMarks(STAGE), 4, 0)
    expect(texts).toHaveLength(4)
    expect(texts[right]).toBe(STAGE.calls[4]!.text)
    expect(new Set(texts.map((text) => callMarks(notes(text))[0]!.key)).size).toBe(4)
  })

  it('come in another order on another turn, in the same on the same', () => {
    const turns = Array.from({ length: 12 }, (_, turn) => choicesFor(callMarks(STAGE), 1, turn).right)
    expect(new Set(turns).size).toBeGreaterThan(2)
    expect(choicesFor(callMarks(STAGE), 1, 3)).toEqual(choicesFor(callMarks(STAGE), 1, 3))
  })

  it('are one where the stage has one call', () => {
    expect(choicesFor(callMarks(notes('5 left')), 0, 0)).toEqual({ texts: ['5 left'], right: 0 })
  })
})

describe('gaps', () => {
  it('grow from words to calls to runs with what is known on both sides', () => {
    expect(gapsOf([0.1, 0.6, 0.9, 0.9, 0.9, 0.5])).toEqual(['words', 'call', 'call', 'run', 'call', 'call'])
  })

  it('hide the corner and leave the rest', () => {
    expect(withBlanks(notes("5 left long don't cut, 60").calls[0]!)).toBe("____ ____ long don't cut, 60")
  })
})

describe('what there is to learn', () => {
  it('asks each call, what follows it, what tightens, sections and moments', () => {
    const items = itemsOf(STAGE, ['a', 'b', 'c', 'd', 'e', 'f'], [3])
    const of = (kind: string) => items.filter((one) => one.kind === kind).map((one) => one.id.split(':')[0])
    expect([of('say'), of('follows'), of('tightens'), of('order'), of('moment')]).toEqual([
      ['a', 'b', 'c', 'd', 'e', 'f'],
      ['a', 'b', 'c', 'd', 'e'],
      ['d'],
      ['a'],
      ['d'],
    ])
  })

  it('is nothing in an empty stage and one question in one call', () => {
    expect(itemsOf(notes(''), [], [])).toEqual([])
    expect(itemsOf(notes('5 left'), ['a'], [])).toHaveLength(1)
  })
})

describe('the ten moments', () => {
  const plain = { speedLost: 1, danger: 0, doubtful: false }
  it('are where most speed is lost, where danger is called and where notes and road differ, in road order', () => {
    const calls = Array.from({ length: 30 }, () => ({ ...plain }))
    calls[20] = { ...plain, speedLost: 30 }
    calls[7] = { ...plain, danger: 3 }
    calls[25] = { ...plain, doubtful: true }
    expect(chooseMoments(calls, 3)).toEqual([7, 20, 25])
  })

  it('are fewer where little happens', () => {
    expect(
      chooseMoments([
        { ...plain, speedLost: 0 },
        { ...plain, danger: 1 },
      ]),
    ).toEqual([1])
  })
})
