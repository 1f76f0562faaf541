import type { EditorView } from '@codemirror/view'
import type { Fix, GradeSystem } from '../../server/notes/notes.ts'
import { parseNotes } from '../connection/live.ts'
import { request, send } from '../connection/request.ts'
import { certainChanges } from './acceptCertain.ts'
import { applyAsOne, changesOf } from './notesEditor.ts'
import { playInTurn } from './playInTurn.ts'

interface Renumbered {
  readonly edits: readonly Fix[]
  readonly system: GradeSystem
}

/** Every certain fix as one step of the history; nothing where the text was changed while they were sought. */
export async function acceptAllCertain(editor: EditorView, stage: string): Promise<void> {
  const before = editor.state.doc
  const changes = await certainChanges(before.toString(), (text) => parseNotes(stage, text, true))
  if (editor.state.doc.eq(before)) applyAsOne(editor, changes)
}

/** The number scale turned round as one step of the history. */
export async function renumberGrades(editor: EditorView, stage: string): Promise<void> {
  const before = editor.state.doc
  const text = before.toString()
  const { edits, system } = await request<Renumbered>(`/stages/${stage}/notes/renumber`, send('POST', { text }))
  if (editor.state.doc.eq(before)) applyAsOne(editor, changesOf(edits, before.length), system.fastest)
}

/** Speaks the calls of the line the cursor is on. */
export async function speakLine(editor: EditorView, stage: string): Promise<void> {
  const { from, to } = editor.state.doc.lineAt(editor.state.selection.main.head)
  const { clips } = await request<{ clips: { hash: string }[] }>(
    `/stages/${stage}/notes/say`,
    send('POST', { text: editor.state.doc.toString(), from, to }),
  )
  playInTurn(clips.map((clip) => `/api/clips/${clip.hash}`))
}

/** Another text in the place of the whole, as one step of the history. */
export function replaceAll(editor: EditorView, text: string): void {
  const { length } = editor.state.doc
  applyAsOne(editor, changesOf([{ label: '', from: 0, to: length, insert: text }], length))
}
