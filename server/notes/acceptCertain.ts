import type { Diagnostic, Fix, NoteSettings } from './notes.ts'
import { parseNotes } from './parseNotes.ts'

/** Rounds of mending: a mended neighbour may settle what was doubtful before. */
const ROUNDS = 3

/**
 * The text with fixes made; ranges are those of the text as it was. Fixes that overlap an earlier one are left out.
 * Throws RangeError for a range outside the text.
 */
export function applyFixes(text: string, fixes: readonly Fix[]): string {
  const sorted = [...fixes].sort((a, b) => a.from - b.from || a.to - b.to)
  let result = ''
  let at = 0
  for (const fix of sorted) {
    if (!(fix.from >= 0 && fix.to >= fix.from && fix.to <= text.length))
      throw new RangeError(`applyFixes: [${fix.from}, ${fix.to}) is outside the text`)
    if (fix.from < at) continue
    result += text.slice(at, fix.from) + fix.insert
    at = fix.to
  }
  return result + text.slice(at)
}

/** Every certain repair made, up to three rounds; the text itself is the caller's to keep. `dictated` is decided once, before the evidence is mended away. */
export function acceptCertain(
  text: string,
  settings: NoteSettings = {},
): { text: string; taken: readonly Diagnostic[]; dictated: boolean } {
  const dictated = settings.dictated ?? parseNotes(text, settings).notes.dictated
  const taken: Diagnostic[] = []
  let mended = text
  for (let round = 0; round < ROUNDS; round++) {
    const certain = parseNotes(mended, { ...settings, dictated, repair: true }).diagnostics.filter(
      (one) => one.certain && one.fix,
    )
    if (certain.length === 0) break
    const next = applyFixes(
      mended,
      certain.map((one) => one.fix!),
    )
    if (next === mended) break
    taken.push(...certain)
    mended = next
  }
  return { text: mended, taken, dictated }
}
