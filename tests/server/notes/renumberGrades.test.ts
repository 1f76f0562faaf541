import { describe, expect, it } from 'vitest'
import { applyFixes } from '../../../server/notes/acceptCertain.ts'
import type { NoteSettings } from '../../../server/notes/notes.ts'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { renumberGrades } from '../../../server/notes/renumberGrades.ts'

const turned = (text: string, settings: NoteSettings = {}) => {
  const { edits, system } = renumberGrades(parseNotes(text, settings).notes)
  return { text: applyFixes(text, edits), system }
}

describe('turning grades round', () => {
  it('turns corners and targets and leaves distances, angles and words', () =>
    expect(turned('5 left tightens 3, 60, hairpin right, Six right, 90 degrees left').text).toBe(
      '2 left tightens 4, 60, hairpin right, One right, 90 degrees left',
    ))
  it('keeps signs', () => expect(turned('4+ L, 60').text).toBe('3+ L, 60'))
  it('gives the text back when done twice', () => {
    const text = 'two left, 40, 6R- > 5, 120, left into one right opens to four'
    const once = turned(text, { system: { scale: 6, fastest: 'high' } })
    expect(turned(once.text, { system: once.system }).text).toBe(text)
  })
  it('leaves every corner as wide as it was', () => {
    const text = '5 left, 60, 3 right, 1 left'
    const once = turned(text, { system: { scale: 6, fastest: 'high' } })
    const radii = (of: string, settings: NoteSettings) =>
      parseNotes(of, settings).notes.calls.flatMap((call) =>
        call.elements.flatMap((one) => (one.meaning.is === 'corner' ? [one.meaning.grade?.radius] : [])),
      )
    expect(radii(once.text, { system: once.system })).toEqual(radii(text, { system: { scale: 6, fastest: 'high' } }))
  })
})
