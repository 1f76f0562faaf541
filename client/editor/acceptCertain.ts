import { ChangeSet, Text } from '@codemirror/state'
import type { ParsedNotes } from '../../server/notes/notes.ts'
import { changesOf } from './notesEditor.ts'

/** Rounds of mending: a mended neighbour may settle what was doubtful before. */
const ROUNDS = 3

/** Every certain fix of a text as one change of it; `read` asks the server for a reading with repairs. */
export async function certainChanges(text: string, read: (text: string) => Promise<ParsedNotes>): Promise<ChangeSet> {
  let document = Text.of(text.split('\n'))
  let all = ChangeSet.empty(document.length)
  for (let round = 0; round < ROUNDS; round++) {
    const parsed = await read(document.toString())
    const fixes = parsed.diagnostics.flatMap((one) => (one.certain && one.fix ? [one.fix] : []))
    if (fixes.length === 0) break
    const changes = changesOf(fixes, document.length)
    document = changes.apply(document)
    all = all.compose(changes)
  }
  return all
}
