import type { Call, GradeSystem } from '../../server/notes/notes.ts'
import { parseNotes } from '../../server/notes/parseNotes.ts'
import { draftNotes } from '../../server/placement/draftNotes.ts'
import { placeCalls } from '../../server/placement/placeCalls.ts'
import type { CalledRoad } from './calledRoad.ts'
import type { Scored } from './scorePlacement.ts'

const system: GradeSystem = { style: 'numbers', fastest: 'high', scale: 6, order: 'grade-first', signs: false }
const NEAR = 10

export interface DraftScore {
  /** Corner calls of the crew, and those of them that the draft has. */
  readonly called: number
  readonly drafted: number
  /** Drafted with the crew's own grade; one off at most; two or more too fast. */
  readonly same: number
  readonly within: number
  readonly faster: number
  /** Corner calls of the draft, and those placed back on a feature of the road, confidence > 0.7. */
  readonly all: number
  readonly back: number
}

/** A draft of the stage's road in the crew's own fitted scale, against what the crew called. */
export function scoreDraft(stage: CalledRoad, { route, notes, placement, station }: Scored): DraftScore {
  const draft = parseNotes(draftNotes(route, { system, scale: placement.gradeScale }).text, { system }).notes
  const placed = placeCalls(draft, route).calls
  const corners = draft.calls.filter((call) => gradeOf(call) !== null)
  const used = new Set<Call>()
  const off: number[] = []
  stage.calls.forEach((call, i) => {
    if (call.kind !== 'corner') return
    const hit = corners.find((one) => {
      const middle = (placed[one.index]!.from + placed[one.index]!.to) / 2
      return !used.has(one) && middle > station(call.from) - NEAR && middle < station(call.to) + NEAR
    })
    if (!hit) return
    used.add(hit)
    off.push(gradeOf(hit)! - gradeOf(notes.calls[i + 1]!)!)
  })
  const back = corners.filter(({ index }) => placed[index]!.by === 'feature' && placed[index]!.confidence > 0.7)
  return {
    called: stage.calls.filter((call) => call.kind === 'corner').length,
    drafted: off.length,
    same: off.filter((one) => one === 0).length,
    within: off.filter((one) => Math.abs(one) <= 1).length,
    faster: off.filter((one) => one > 1).length,
    all: corners.length,
    back: back.length,
  }
}

/** 0 for a hairpin; null for what names no corner. */
function gradeOf(call: Call): number | null {
  for (const { meaning } of call.elements)
    if (meaning.is === 'corner' && meaning.grade)
      return meaning.grade.name === 'hairpin' ? 0 : Number(meaning.grade.name)
  return null
}
