import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { auditNotes } from '../../../server/placement/auditNotes.ts'
import { placeCalls } from '../../../server/placement/placeCalls.ts'
import type { Finding } from '../../../server/placement/placement.ts'
import { roadFromNotes } from '../../../server/placement/roadFromNotes.ts'

const LINES = [
  'start 100',
  '4 left 80',
  '3 right 60',
  '5 left 120',
  '2 right 70',
  '4 right 90',
  'hairpin left 60',
  '5 right long tightens 3 100',
  '3 left 80',
  '4 left 110',
  '2 left 60',
  '5 right 90',
  'finish',
]
const system = { style: 'numbers', fastest: 'high', scale: 6 } as const
const read = (lines: readonly string[]) => parseNotes(lines.join('\n'), { system }).notes
/** The road that these notes draw, taken as if it had been measured: every call is right on it. */
const route = { ...roadFromNotes(read(LINES)).route, source: 'line' as const }

function audit(change: (lines: string[]) => void): Finding[] {
  const lines = [...LINES]
  change(lines)
  const notes = read(lines)
  return auditNotes(notes, route, placeCalls(notes, route))
}
const codes = (found: readonly Finding[]) => found.map((one) => one.code)

describe('auditNotes', () => {
  it('finds nothing where notes and road agree', () => {
    expect(audit(() => {})).toEqual([])
  })

  it('finds a corner that no call names, with its radius', () => {
    const [found] = audit((lines) => lines.splice(4, 1))
    expect(found).toMatchObject({ code: 'corner-not-called', severity: 'warning' })
    expect(found!.numbers!.radius).toBeCloseTo(27, 0)
  })

  it('finds an uncalled corner that touches its neighbours', () => {
    const linked = LINES.map((line) => line.replace('3 right 60', '3 right into').replace('5 left 120', '5 left into'))
    const road = { ...roadFromNotes(read(linked)).route, source: 'line' as const }
    const notes = read(linked.filter((line) => line !== '5 left into'))
    expect(codes(auditNotes(notes, road, placeCalls(notes, road)))).toContain('corner-not-called')
  })

  it('finds a wrong direction, and which call it is', () => {
    expect(audit((lines) => lines.splice(2, 1, '3 left 60'))).toMatchObject([{ code: 'direction-wrong', call: 2 }])
  })

  it('finds a grade that is more than one off', () => {
    expect(audit((lines) => lines.splice(3, 1, '3 left 120'))).toMatchObject([{ code: 'grade-off', call: 3 }])
  })

  it('lets a grade that is one off pass', () => {
    expect(audit((lines) => lines.splice(3, 1, '4 left 120'))).toEqual([])
  })

  it('finds a distance that is wrong, with what the road has', () => {
    const found = audit((lines) => lines.splice(5, 1, '4 right 170'))
    expect(codes(found)).toEqual(['distance-wrong'])
    expect(found[0]!.numbers).toMatchObject({ said: 170 })
    expect(Math.abs(found[0]!.numbers!.road! - 90)).toBeLessThan(6)
  })

  it('lets a distance pass that leads to the corner whose call is missing, and tells the corner', () => {
    expect(codes(audit((lines) => lines.splice(3, 1)))).toEqual(['corner-not-called'])
  })

  it('finds a distance that leads neither to the next call nor to the corner whose call is missing', () => {
    const found = audit((lines) => lines.splice(2, 2, '3 right 180'))
    expect(codes(found)).toEqual(['distance-wrong', 'corner-not-called'])
  })

  it('lets a distance pass that is off by less than a fifth', () => {
    expect(audit((lines) => lines.splice(3, 1, '5 left 140'))).toEqual([])
  })

  it('finds a corner call for which the road has no corner', () => {
    const found = audit((lines) => lines.splice(6, 0, '3 right 10'))
    expect(codes(found)).toContain('call-without-feature')
  })

  it('begins every sentence with its place, and holds its numbers apart', () => {
    for (const one of audit((lines) => lines.splice(2, 1, '3 left 60'))) {
      expect(one.message).toMatch(/^\d+\.\d\d km: /)
      expect(Object.keys(one.numbers!).length).toBeGreaterThan(0)
    }
  })

  it('has nothing to hold against a road drawn from the notes themselves', () => {
    const drawn = roadFromNotes(read(LINES))
    expect(auditNotes(read(LINES), drawn.route, drawn.placement)).toEqual([])
  })
})

describe('absent cautions', () => {
  const notes = read(LINES)
  const placement = placeCalls(notes, route)
  const hairpin = placement.calls[6]!
  const speed = Float64Array.from({ length: route.length + 1 }, (_, s) => (s > hairpin.from && s < hairpin.to ? 8 : 30))
  const driven = { step: 1, speed }

  it('are told where speed falls by more than the crew’s own share', () => {
    // 30 to 8 m/s is a fall of 22/30 = 73 %.
    const found = auditNotes(notes, route, placement, { caution: { driven, share: 0.7 } })
    expect(found).toMatchObject([{ code: 'caution-absent', call: 6 }])
    expect(auditNotes(notes, route, placement, { caution: { driven, share: 0.75 } })).toEqual([])
  })
  it('are not told where the call warns', () => {
    const warned = read(LINES.map((line) => (line.startsWith('hairpin') ? `caution ${line}` : line)))
    const placed = placeCalls(warned, route)
    expect(auditNotes(warned, route, placed, { caution: { driven, share: 0.7 } })).toEqual([])
  })
  it('are not told where a line of its own warns before the call', () => {
    const warned = read(LINES.flatMap((line) => (line.startsWith('hairpin') ? ['caution 20', line] : [line])))
    const placed = placeCalls(warned, route)
    expect(auditNotes(warned, route, placed, { caution: { driven, share: 0.7 } })).toEqual([])
  })
  it('ask for a share between 0 and 1', () => {
    expect(() => auditNotes(notes, route, placement, { caution: { driven, share: 1.5 } })).toThrow(/1.5/)
  })
})
