import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { applyFixes } from '../../../server/notes/acceptCertain.ts'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { renumberGrades } from '../../../server/notes/renumberGrades.ts'
import { prepareStage } from '../../../server/rehearsal/prepareStage.ts'

const demo = (name: string) => fileURLToPath(new URL(`../../../routes-demo/tarn-hollow/${name}`, import.meta.url))
const route = { name: 'route.gpx', bytes: readFileSync(demo('route.gpx')) }
/** The demo's notes without any "tightens 2": nothing in them shows which number is fastest. */
const bare = readFileSync(demo('notes.txt'), 'utf8').replace(/(tightens|opens)( to)? \d/g, '$1')
const turned = applyFixes(bare, renumberGrades(parseNotes(bare).notes).edits)
const prepared = (notes: string, gradeSystem?: { fastest: 'high' | 'low' }) =>
  prepareStage({ title: 'Hollow', notes, route, anchors: [], settings: { gradeSystem } }).notes

describe('which number is fastest, where the notes do not show it', () => {
  it('is what the road shows: the highest', () => expect(prepared(bare).system.fastest).toBe('high'))
  it('is what the road shows: 1, with the same grades turned round', () =>
    expect(prepared(turned).system.fastest).toBe('low'))
  it('is said to come from the road', () =>
    expect(prepared(turned).reasons.find((reason) => reason.about === 'fastest')?.says).toBe(
      'Read with 1 fastest: on this road the notes fit better so.',
    ))
  it('stays what the crew says', () => expect(prepared(turned, { fastest: 'high' }).system.fastest).toBe('high'))
})
