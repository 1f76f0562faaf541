import { Option } from 'commander'
import type { Wording } from '../notes/notes.ts'
import { parseNotes } from '../notes/parseNotes.ts'
import { withTimeHints } from '../notes/readCaptions.ts'
import { wordedText } from '../notes/wordedText.ts'
import { noteSettings } from '../rehearsal/prepareStage.ts'
import { callWords } from '../rehearsal/sayCalls.ts'
import type { Streams } from './cli.ts'
import { readStage } from './readStage.ts'
import { pinsOf, type StageOptions, stageCommand } from './stageOptions.ts'
import { table } from './table.ts'

type ReadOptions = StageOptions & { readonly wording?: Wording }

/** `read`: the parse, call by call, element by element; with `--wording` the notes as a new text. */
export function readCommand(streams: Streams) {
  const wording = new Option('--wording <how>', 'print the notes as a new text in this wording')
  return stageCommand('read', 'how the notes are understood')
    .addOption(wording.choices(['verbose', 'standard', 'terse']))
    .action((folder: string | undefined, options: ReadOptions) => {
      const { stage, captions, settings } = readStage(folder, options)
      const parsed = parseNotes(stage.notes, noteSettings(stage.settings)).notes
      const notes = captions === null ? parsed : { ...parsed, calls: withTimeHints(parsed.calls, captions.cues) }
      for (const fault of captions?.faults ?? []) streams.err(`line ${fault.line}: ${fault.says}\n`)
      const words = callWords(notes, 'standard', []).reduce((sum, call) => sum + call.words.length, 0)
      if (options.wording) {
        streams.out(wordedText(notes, options.wording, pinsOf(settings)))
      } else if (options.json) {
        const calls = notes.calls.map((call) => ({
          index: call.index,
          text: call.text,
          range: [call.from, call.to],
          line: call.line,
          ...(call.timeHint === undefined ? {} : { spokenAt: Number(call.timeHint.toFixed(3)) }),
          elements: call.elements.map((element) => ({
            kind: element.kind,
            text: element.text,
            range: [element.from, element.to],
            value: element.value,
          })),
        }))
        streams.out(`${JSON.stringify({ calls, words, system: notes.system, dictated: notes.dictated })}\n`)
      } else {
        streams.out(
          table(
            ['call', 'line', 'text', 'understood as'],
            notes.calls.map((call) => [
              call.index + 1,
              call.line,
              call.text.replace(/\s+/g, ' '),
              call.elements.map((e) => e.value).join(' · '),
            ]),
          ),
        )
        for (const reason of notes.reasons) streams.err(`${reason.says}\n`)
      }
    })
}
