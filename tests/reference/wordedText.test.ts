import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../server/notes/parseNotes.ts'
import { wordedText } from '../../server/notes/wordedText.ts'
import { hasShared, sharedPath } from '../sharedData.ts'

const meant = (text: string, system = parseNotes(text).notes.system) =>
  parseNotes(text, { system }).notes.calls.flatMap((call) => call.elements.map(({ meaning }) => meaning))

/** Notes in different grade systems, typed by hand; island-descriptive differs in one place: its last distance has no call before it. */
const TYPED = ['forest-words', 'moorland-short', 'quarry-plusminus', 'coast-reversed']

describe.skipIf(!hasShared)('notes written out in the verbose wording', () => {
  for (const name of TYPED) {
    it(`mean what ${name} means`, () => {
      const text = readFileSync(sharedPath(`notes/${name}.txt`), 'utf8')
      const { notes } = parseNotes(text)
      expect(meant(wordedText(notes, 'verbose'), notes.system)).toEqual(meant(text))
    })
  }
})

describe('notes written out in a wording', () => {
  const { notes } = parseNotes('5 left patience over small crest 80, 3 right tightens to 2')
  it('leave out in terse what the driver can do without', () =>
    expect(wordedText(notes, 'terse')).toBe('5 left over crest 80\n3 right tightens 2\n'))
  it('keep what is pinned', () =>
    expect(wordedText(notes, 'terse', ['patience'])).toBe('5 left patience over crest 80\n3 right tightens 2\n'))
})
