import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { countCrossings } from '../../../server/placement/crossings.ts'
import { placeCalls } from '../../../server/placement/placeCalls.ts'
import { roadFromNotes } from '../../../server/placement/roadFromNotes.ts'
import { calledRoad } from '../../made/calledRoad.ts'

const read = (text: string) => parseNotes(text, { system: { style: 'numbers', fastest: 'high', scale: 6 } }).notes
const SHORT = read('start 100\n4 left 60\n3 right long 40\nover crest 80\nhairpin left 50\nfinish\n')

describe('roadFromNotes', () => {
  it('is always told from a measured road', () => {
    expect(roadFromNotes(SHORT).route.source).toBe('notes')
  })

  it.each([1, 2, 3, 4, 5])('meets the stage length to the metre (made stage %i)', (seed) => {
    const stage = calledRoad({ seed, length: 5000 })
    const { route } = roadFromNotes(read(stage.notes), { length: 5000 })
    expect(route.length).toBe(5000)
    expect(Object.keys(route.losses).filter((reason) => reason.startsWith('metres'))).toEqual([])
  })

  it('says by how much the notes are too long for the stage', () => {
    const { route } = roadFromNotes(SHORT, { length: 200 })
    const over = route.losses['metres the notes ask for beyond the stage length']!
    expect(over).toBeGreaterThan(0)
    expect(Math.abs(route.length - 200 - over)).toBeLessThanOrEqual(1)
  })

  it('says how much of the stage the notes leave unsaid', () => {
    const { route } = roadFromNotes(SHORT, { length: 9000 })
    const short = route.losses['metres of the stage length the notes leave unsaid']!
    expect(Math.abs(9000 - route.length - short)).toBeLessThanOrEqual(1)
  })

  it('draws a crest that is said, and says that it is drawn', () => {
    const crest = roadFromNotes(SHORT).route.features.find((one) => one.kind === 'crest')
    expect(crest).toMatchObject({ kind: 'crest', drawn: true })
  })

  it('falls into a dip and comes out of it', () => {
    const { route } = roadFromNotes(read('start 100\nthrough dip 100\n4 left 50\nfinish\n'))
    expect(Math.min(...route.z)).toBeLessThan(-0.2)
    expect(Math.abs(route.grade.at(-1)!)).toBeLessThan(0.02)
  })

  it('turns each corner the way its call says', () => {
    const { route, placement } = roadFromNotes(SHORT)
    const corners = placement.calls.flatMap((call) => call.features.map((f) => route.features[f]!))
    expect(corners.flatMap((one) => (one.kind === 'corner' ? [one.side] : []))).toEqual(['left', 'right', 'left'])
  })

  it('crosses itself in fewer places than it has kilometres, over ten made stages', () => {
    let crossings = 0
    for (let seed = 1; seed <= 10; seed++) {
      const { route } = roadFromNotes(read(calledRoad({ seed, length: 5000 }).notes))
      crossings += countCrossings(route.x, route.y)
    }
    expect(crossings).toBeLessThan(50)
  })

  it('has its own calls placed back on its own corners', () => {
    const notes = read(calledRoad({ seed: 2, length: 5000 }).notes)
    const { route, placement } = roadFromNotes(notes)
    const back = placeCalls(notes, route).calls
    const off = back.filter((call, i) => {
      const middle = (call.from + call.to) / 2
      const own = placement.calls[i]!
      return call.features.length > 0 && (middle < own.from - 10 || middle > own.to + 10)
    })
    expect(off).toEqual([])
  })

  it('refuses notes without a call, and a length that is none', () => {
    expect(() => roadFromNotes(read(''))).toThrow(RangeError)
    expect(() => roadFromNotes(SHORT, { length: Number.NaN })).toThrow(/NaN/)
  })
})

describe('countCrossings', () => {
  it('counts a figure of eight once', () => {
    const n = 400
    const x = Float64Array.from({ length: n }, (_, i) => 100 * Math.sin((2 * Math.PI * (i + 37)) / n))
    const y = Float64Array.from({ length: n }, (_, i) => 50 * Math.sin((4 * Math.PI * (i + 37)) / n))
    expect(countCrossings(x, y)).toBe(1)
  })
  it('finds none on a bend', () => {
    const x = Float64Array.from({ length: 200 }, (_, i) => 80 * Math.cos(i / 80))
    const y = Float64Array.from({ length: 200 }, (_, i) => 80 * Math.sin(i / 80))
    expect(countCrossings(x, y)).toBe(0)
  })
})
