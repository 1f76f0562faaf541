import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../server/notes/parseNotes.ts'
import { hasShared, sharedPath } from '../sharedData.ts'

interface ExpectedLine {
  readonly calls: readonly {
    readonly elements: readonly { readonly kind: string; readonly value: string; readonly text: string }[]
  }[]
}

const files = hasShared ? readdirSync(sharedPath('notes/expected')).map((name) => name.replace('.json', '')) : []

/** Parses made by hand from the typed samples: kinds, canonical values, the very characters, and where calls begin and end. */
describe.skipIf(!hasShared)('typed notes', () => {
  for (const name of files) {
    const text = hasShared ? readFileSync(sharedPath(`notes/${name}.txt`), 'utf8') : ''
    const expected: ExpectedLine[] = hasShared
      ? JSON.parse(readFileSync(sharedPath(`notes/expected/${name}.json`), 'utf8'))
      : []
    const { notes } = parseNotes(text)

    it(`${name}: every element is the one meant`, () => {
      const said = notes.calls.map((call) => call.elements.map(({ kind, value, text }) => ({ kind, value, text })))
      expect(said).toEqual(expected.flatMap((line) => line.calls.map((call) => call.elements)))
    })

    it(`${name}: every element is the text of its range`, () => {
      for (const element of notes.calls.flatMap((call) => call.elements))
        expect(text.slice(element.from, element.to)).toBe(element.text)
    })

    it(`${name}: has no word that the trade knows and the table does not`, () => {
      expect(notes.calls.flatMap((call) => call.elements).filter((element) => element.kind === 'unknown')).toEqual([])
    })
  }
})
