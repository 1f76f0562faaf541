import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { auditNotes } from '../../../server/placement/auditNotes.ts'
import { placeCalls } from '../../../server/placement/placeCalls.ts'
import { roadFromNotes } from '../../../server/placement/roadFromNotes.ts'
import type { Route } from '../../../server/route/route.ts'

const system = { style: 'numbers', fastest: 'high', scale: 6 } as const
const read = (lines: readonly string[]) => parseNotes(lines.join('\n'), { system }).notes
const ROAD = [
  'start 100',
  '4 left 80',
  '3 right 60',
  '5 left 120',
  'over crest 20',
  '2 right 70',
  '4 right very long over crest 90',
  '3 left 150',
  'finish',
]

/** A road whose heights, not its notes, show the crests. `level` scales every vertical curve. */
function measured(level: number): Route {
  const { route } = roadFromNotes(read(ROAD))
  return {
    ...route,
    source: 'line',
    verticalCurvature: route.verticalCurvature.map((k) => k * level),
    features: route.features.map((one) => (one.kind === 'crest' ? { ...one, drawn: false } : one)),
  }
}
const SHARP = measured(1)

function blind(change: (lines: string[]) => void, road = SHARP) {
  const lines = [...ROAD]
  change(lines)
  const notes = read(lines)
  return auditNotes(notes, road, placeCalls(notes, road)).filter((one) => one.code === 'crest-hides-corner')
}

describe('a blind crest', () => {
  it('is no finding when it is called, and a distance leads on to the corner', () => {
    expect(blind(() => {})).toEqual([])
  })
  it('is one when no call names it', () => {
    expect(blind((lines) => lines.splice(3, 2, '5 left 140'))).toMatchObject([{ call: 4 }])
  })
  it('said alone on the line before its corner is read as one call with it', () => {
    expect(blind((lines) => lines.splice(4, 1, 'over crest'))).toEqual([])
  })
  it('inside a long corner is one when the corner’s call does not name it', () => {
    expect(blind((lines) => lines.splice(6, 1, '4 right very long 90'))).toMatchObject([{ call: 6 }])
  })
  it('is not told by the word for another crest near it', () => {
    // One word for the crest of the long corner, none for the one before the 2.
    const found = blind((lines) => {
      lines.splice(3, 2, '5 left 140')
      lines.splice(4, 1, '2 right 70')
    })
    expect(found).toHaveLength(1)
  })
  it('so flat that a driver sees across it is none', () => {
    expect(blind((lines) => lines.splice(3, 2, '5 left 140'), measured(0.1))).toEqual([])
  })
})
