import { describe, expect, it } from 'vitest'
import { alignCalls, type KnownCall } from '../../../server/drill/alignCalls.ts'
import { callMarks } from '../../../server/drill/callMark.ts'
import { parseNotes } from '../../../server/notes/parseNotes.ts'

const marks = (text: string) => callMarks(parseNotes(text, {}).notes)
/** Calls known by the names a, b, c … in order; `gone` of them archived. */
const known = (text: string, gone = ''): KnownCall[] =>
  marks(text).map((mark, i) => {
    const id = String.fromCharCode(97 + i)
    return { ...mark, id, archived: gone.includes(id) }
  })
/** "a b! ? +": kept or moved by name, changed with !, offered as ?, new as +. */
const fates = (before: readonly KnownCall[], after: string) =>
  alignCalls(before, marks(after))
    .map((fate) =>
      fate.is === 'new'
        ? '+'
        : fate.is === 'offered'
          ? `?${fate.ids.join('')}`
          : fate.id + (fate.is === 'changed' ? '!' : ''),
    )
    .join(' ')

const NOTES = '5 left, 60\n3 right long, 40\n6 left over crest, 100\n2 right tightens, 30\n4 left'

describe('calls of edited notes', () => {
  it('are all there when nothing was edited', () => {
    expect(fates(known(NOTES), NOTES)).toBe('a b c d e')
  })

  it('stay the same when only distances and links change', () => {
    expect(fates(known(NOTES), NOTES.replace('60', '80').replace(', 40', ' into'))).toBe('a b c d e')
  })

  it('stay, but changed, when a grade, a side or a modifier changes', () => {
    expect(fates(known(NOTES), NOTES.replace('3 right', '4 right'))).toBe('a b! c d e')
    expect(fates(known(NOTES), NOTES.replace('6 left over', '6 right over'))).toBe('a b c! d e')
    expect(fates(known(NOTES), NOTES.replace('2 right tightens', '2 right'))).toBe('a b c d! e')
  })

  it('keep their names round a call put in or taken out', () => {
    expect(fates(known(NOTES), NOTES.replace('6 left over crest', 'hairpin right, 50\n6 left over crest'))).toBe(
      'a b + c d e',
    )
    expect(fates(known(NOTES), NOTES.replace('6 left over crest, 100\n', ''))).toBe('a b d e')
  })

  it('are found again where they moved, when there is only one of the kind', () => {
    expect(
      fates(known(NOTES), '4 left, 50\n5 left, 60\n3 right long, 40\n6 left over crest, 100\n2 right tightens'),
    ).toBe('e a b c d')
  })

  it('are offered where one of several may have moved', () => {
    const twins = '1 left, 60\n3 right, 40\nhairpin left, 100\n1 left, 70\n6 right'
    const after = '2 right long, 30\n6 right, 100\n1 left, 60\ncaution square right'
    expect(fates(known(twins, 'abcd'), after)).toBe('+ e ?ad +')
  })

  it('come back with all that was known when a deleted call returns to its place', () => {
    expect(fates(known(NOTES, 'c'), NOTES)).toBe('a b c d e')
  })

  it('are never given one name twice', () => {
    const all = alignCalls(known('3 left, 50\n3 left, 50\n3 left'), marks('3 left, 50\n3 left, 50\n3 left, 50\n3 left'))
    const ids = all.flatMap((fate) => ('id' in fate ? [fate.id] : []))
    expect(new Set(ids).size).toBe(ids.length)
  })

  it('are all new in an empty stage, and none in emptied notes', () => {
    expect(fates([], '5 left')).toBe('+')
    expect(fates(known(NOTES), '')).toBe('')
  })
})
