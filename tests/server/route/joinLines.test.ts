import { describe, expect, it } from 'vitest'
import { joinLines } from '../../../server/route/joinLines.ts'
import type { RouteDraft } from '../../../server/route/route.ts'

/** Lines on a plane as a file has them: each a list of x along y = 0 unless said. */
function drawn(...lines: (readonly (number | readonly [number, number])[])[]): RouteDraft {
  const points = lines.flat().map((one) => (typeof one === 'number' ? [one, 0] : one))
  const breaks: number[] = []
  for (let i = 1, at = 0; i < lines.length; i++) breaks.push((at += lines[i - 1]!.length))
  return {
    name: 'made up',
    file: 'made-up.csv',
    format: 'csv',
    frame: 'planar',
    northing: points.map((one) => one[1]!),
    easting: points.map((one) => one[0]!),
    height: points.map(() => null),
    time: points.map(() => null),
    breaks,
    losses: {},
  }
}
const timed = (draft: RouteDraft, time: readonly number[]): RouteDraft => ({ ...draft, time })

describe('lines of a drawn road', () => {
  it('are joined by their ends, not in the order they stand', () => {
    const { draft } = joinLines([drawn([200, 300], [0, 100], [100, 200])])
    expect(draft.easting).toEqual([0, 100, 100, 200, 200, 300])
    expect(draft.breaks).toEqual([])
  })

  it('are driven backwards where they meet by their other end, and it is said', () => {
    const { draft, lines } = joinLines([drawn([0, 100], [300, 200], [100, 200])])
    expect(draft.easting).toEqual([0, 100, 100, 200, 200, 300])
    expect(draft.losses).toHaveProperty('lines driven backwards, to meet the one before', 1)
    expect(lines.map((one) => one.reversed)).toEqual([false, true, false])
  })

  it('are bridged where they nearly meet, and the widest gap is said', () => {
    const { draft } = joinLines([drawn([0, 100], [140, 300])])
    expect(draft.losses).toHaveProperty('gaps between lines, bridged straight (the widest 40 m)', 1)
  })

  it('may have 200,000 points each', () => {
    const line = (from: number) => Array.from({ length: 200_000 }, (_, i) => from + i)
    expect(joinLines([drawn(line(0), line(200_000))]).draft.easting).toHaveLength(400_000)
  })

  it('go straight on where three of them meet', () => {
    const { draft } = joinLines([
      drawn(
        [0, 100],
        [
          [100, 0],
          [100, 90],
        ],
        [100, 210],
      ),
    ])
    expect(draft.easting).toEqual([0, 100, 100, 210])
  })

  it('do not turn back along the other carriageway', () => {
    const other = [
      [300, 12],
      [0, 12],
    ] as const
    const { draft } = joinLines([drawn([0, 300, 310], other)])
    expect(draft.easting).toEqual([0, 300, 310])
  })
})

describe('two roads in one file', () => {
  const two = drawn([0, 100], [5000, 5400])
  it('give the longer one and tell of the other', () => {
    const { draft, lines } = joinLines([two])
    expect(draft.easting).toEqual([5000, 5400])
    expect(draft.losses).toEqual({ 'other lines in the file, left out: choose them under Road': 1 })
    expect(lines.map(({ name, length, used }) => [name, length, used])).toEqual([
      ['line 1', 100, false],
      ['line 2', 400, true],
    ])
  })

  it('give the one that was chosen', () => {
    expect(joinLines([two], [0]).draft.easting).toEqual([0, 100])
  })

  it('are joined when both are chosen, however far apart', () => {
    expect(joinLines([two], [0, 1]).draft.easting).toEqual([0, 100, 5000, 5400])
  })

  it('refuse a line that is not there', () => {
    expect(() => joinLines([two], [2])).toThrow(/no line 3 .* hold 2/)
  })
})

describe('pieces of a log', () => {
  it('follow their times', () => {
    const { draft } = joinLines([timed(drawn([200, 300], [0, 100]), [20, 30, 0, 10])])
    expect([draft.easting, draft.time]).toEqual([
      [0, 100, 200, 300],
      [0, 10, 20, 30],
    ])
  })

  it('are two drives when no car gets from one to the other in time', () => {
    const { draft } = joinLines([timed(drawn([0, 100], [4000, 4300]), [0, 10, 20, 30])])
    expect(draft.easting).toEqual([4000, 4300])
  })
})

describe('a road logged twice in one file', () => {
  const out = [0, 400, 800, 1200]
  it('gives one run, not both with the way back between them', () => {
    const { draft, lines } = joinLines([timed(drawn(out, [10, 410, 810, 1190]), [0, 40, 80, 120, 400, 440, 480, 520])])
    expect([draft.easting.length, lines.map((one) => one.used)]).toEqual([4, [true, false]])
  })

  it('also where the second run is the way back', () => {
    const { lines } = joinLines([timed(drawn(out, [1195, 800, 400, 0]), [0, 40, 80, 120, 400, 440, 480, 520])])
    expect(lines.map((one) => one.used)).toEqual([true, false])
  })
})

describe('several files', () => {
  it('are joined by their nearest ends', () => {
    expect(joinLines([drawn([0, 100]), drawn([900, 400])]).draft.easting).toEqual([0, 100, 400, 900])
  })

  it('have their clocks set on behind each other', () => {
    const { draft } = joinLines([timed(drawn([0, 100]), [50, 60]), timed(drawn([200, 100]), [7, 9])])
    expect(draft.easting).toEqual([0, 100, 100, 200])
    expect(draft.time).toEqual([50, 60, 61, 63])
  })

  it('are refused when one is in metres and one in degrees', () => {
    expect(() => joinLines([drawn([0, 100]), { ...drawn([8, 8.1]), frame: 'geographic', file: 'b.gpx' }])).toThrow(
      /"b.gpx" is in degrees and "made-up.csv" in metres.*Export both the same way/,
    )
  })
})

it('knows that lines on both sides of the date line meet', () => {
  const all = { ...drawn([179.9, 180], [-180, -179.9]), frame: 'geographic' as const }
  expect(joinLines([all]).draft.easting).toEqual([179.9, 180, -180, -179.9])
})
