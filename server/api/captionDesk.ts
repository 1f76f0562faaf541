import { captionsIn, type KeptCaptions, keepCaptions } from '../library/captionFile.ts'
import { LibraryError } from '../library/libraryError.ts'
import type { StageLibrary } from '../library/stageLibrary.ts'
import type { ParsedNotes } from '../notes/notes.ts'
import { type CaptionNotes, looksLikeCaptions, readCaptions } from '../notes/readCaptions.ts'
import { withSpokenTimes } from '../notes/spokenTimes.ts'
import type { CaptionsTaken } from './wireNotes.ts'

/** Captions of spoken stages: taken as notes, kept as they came, and asked when each call was spoken. */
export class CaptionDesk {
  private readonly library: StageLibrary
  private file: KeptCaptions | null = null
  private read: { stamp: string; captions: CaptionNotes } | null = null

  constructor(library: StageLibrary) {
    this.library = library
  }

  /**
   * Keeps a file of captions with its stage and gives the notes in it; the stage's own notes are the editor's to change. `stamp` names what it takes the
   * place of. Throws LibraryError 422 for a file that is neither WebVTT nor SubRip, or in which nothing is said.
   */
  take(id: string, bytes: Uint8Array, stamp: number): CaptionsTaken {
    const written = new TextDecoder().decode(bytes)
    if (!looksLikeCaptions(written))
      throw new LibraryError(
        'This file is neither WebVTT nor SubRip: its first line should be WEBVTT, or a number with a line of times below it. Notes without times are pasted into the editor.',
        422,
      )
    const { text, cues, faults } = readCaptions(written)
    const fault = faults[0] === undefined ? null : `line ${faults[0].line}: ${faults[0].says}`
    if (cues.length === 0)
      throw new LibraryError(
        `Nothing is said in these captions${fault === null ? '' : ` (${fault})`}; export them again with the words in.`,
        422,
      )
    keepCaptions(this.library.folderOf(id), /^\uFEFF?WEBVTT/.test(written) ? 'vtt' : 'srt', bytes, stamp)
    // What came as captions was spoken; it is kept, since the evidence goes with the fixes.
    this.library.change(id, { settings: { dictated: true } })
    return { text, cues: cues.length, fault, faults: faults.length }
  }

  /** The same parse, with the second each call was spoken at, where its stage came as captions. */
  timed(id: string, parsed: ParsedNotes): ParsedNotes {
    const file = captionsIn(this.library.folderOf(id), this.file)
    if (file === null) return parsed
    this.file = file
    if (this.read?.stamp !== file.stamp)
      this.read = { stamp: file.stamp, captions: readCaptions(new TextDecoder().decode(file.bytes)) }
    const calls = withSpokenTimes(parsed.notes.calls, parsed.notes.text, this.read.captions)
    return { ...parsed, notes: { ...parsed.notes, calls } }
  }
}
