import { auditNotes } from '../placement/auditNotes.ts'
import { prepareStage } from '../rehearsal/prepareStage.ts'
import type { Streams } from './cli.ts'
import { readStage } from './readStage.ts'
import { type StageOptions, stageCommand } from './stageOptions.ts'
import { table } from './table.ts'

/** `place`: which call is where, how sure, and what does not agree with the road. */
export function placeCommand(streams: Streams) {
  return stageCommand('place', 'which call belongs to which place of the road').action(
    (folder: string | undefined, options: StageOptions) => {
      const { notes, route, placement } = prepareStage(readStage(folder, options).stage)
      const audit = auditNotes(notes, route, placement)
      const rows = placement.calls.map((placed) => ({
        index: placed.index,
        text: notes.calls[placed.index]!.text,
        from: placed.from,
        to: placed.to,
        confidence: placed.confidence,
        anchored: placed.by === 'anchor',
        by: placed.by,
      }))
      if (options.json) {
        streams.out(
          `${JSON.stringify({ calls: rows, audit, gradeScale: placement.gradeScale, odometer: placement.odometer })}\n`,
        )
        return
      }
      const sure = (confidence: number) => (confidence >= 0.99 ? 'sure' : confidence >= 0.9 ? 'likely' : 'look')
      streams.out(
        table(
          ['call', 'from m', 'to m', '', 'text'],
          rows.map((row) => [
            row.index + 1,
            row.from.toFixed(0),
            row.to.toFixed(0),
            row.anchored ? 'by hand' : sure(row.confidence),
            row.text.replace(/\s+/g, ' '),
          ]),
        ),
      )
      if (audit.length > 0)
        streams.out(
          `\n${table(
            ['at m', 'finding'],
            audit.map((one) => [one.station.toFixed(0), one.message]),
          )}`,
        )
    },
  )
}
