import type { CallDuration } from '../server/calls/plan.ts'
import type { Call, Meaning, NoteElement, Notes } from '../server/notes/notes.ts'
import type { PlacedCall, Placement } from '../server/placement/placement.ts'
import type { RoadCells } from '../server/speed/speed.ts'
import { seededRandom } from './seededRandom.ts'

export interface SyntheticStage {
  readonly notes: Notes
  readonly placement: Placement
  readonly cells: RoadCells
  readonly durations: readonly CallDuration[]
}

/** Radii of grades 1 to 6, metres (from memory). */
const RADII = [17, 27, 42, 65, 100, 150]
/** Seconds a word takes at about 200 words a minute, with its share of silence. */
const WORD = 0.28

/** A made-up stage of `count` bends, each with its call; the same for the same seed. About 65 m of road and 6 words a call; hills included. */
export function syntheticStage(
  count: number,
  seed: number,
  { straight = 12, word = WORD }: { straight?: number; word?: number } = {},
): SyntheticStage {
  const random = seededRandom(seed)
  const calls: Call[] = []
  const placed: PlacedCall[] = []
  const durations: CallDuration[] = []
  const bends: { from: number; to: number; curvature: number }[] = []
  let at = 120
  for (let i = 0; i < count; i++) {
    const grade = Math.floor(random() * 6)
    const radius = RADII[grade]!
    const length = Math.max(8, Math.round(radius * (0.3 + 0.5 * random())))
    const gap = Math.round(straight + random() ** 3 * 70)
    const tightens = grade > 1 && random() < 0.12
    const split = at + Math.round(length * 0.6)
    const to = at + length
    const sign = random() < 0.5 ? 1 : -1
    bends.push({ from: at, to: tightens ? split : to, curvature: sign / radius })
    if (tightens) bends.push({ from: split, to, curvature: sign / RADII[grade - 1]! })

    const elements = [corner(grade + 1, sign, radius)]
    if (random() < 0.3) elements.push(element('long', 'turn-in', 1, { is: 'length', factor: 1.6 }))
    if (tightens)
      elements.push(
        element(`tightens ${grade}`, 'part', 0, {
          is: 'change',
          sense: 'tightens',
          to: null,
          late: false,
          twice: false,
        }),
      )
    if (random() < 0.6) elements.push(element('rocks outside on exit', 'turn-in', 1, { is: 'said' }))
    if (random() < 0.4) elements.push(element('small crest', 'feature', 2, { is: 'said' }))
    if (random() < 0.3) elements.push(element("don't cut", 'turn-in', 1, { is: 'said' }))
    elements.push(
      gap < 25
        ? element('into', 'none', 1, { is: 'link', length: 0 })
        : element(String(Math.round(gap / 10) * 10), 'straight', 0, { is: 'distance', length: gap }),
    )
    const text = elements.map((one) => one.text).join(' ')
    calls.push({ index: i, text, from: 0, to: text.length, line: i + 1, elements })
    const parts = tightens
      ? [
          { from: at, to: split, radius, element: null },
          { from: split, to, radius: RADII[grade - 1]!, element: elements.findIndex((one) => one.timing === 'part') },
        ]
      : [{ from: at, to, radius, element: null }]
    placed.push({
      index: i,
      from: at,
      to,
      parts,
      features: [],
      stations: elements.map(() => at),
      crest: null,
      confidence: 1,
      by: 'anchor',
    })
    durations.push(duration(elements, word))
    at = to + gap
  }
  const length = at + 200
  const curvature = new Float64Array(length)
  for (const bend of bends) curvature.fill(bend.curvature, bend.from, bend.to)
  const slope = Float64Array.from({ length }, (_, i) => 0.05 * Math.sin(i / 170))
  const vertical = Float64Array.from({ length }, (_, i) => (0.05 / 170) * Math.cos(i / 170))
  return {
    notes: {
      text: calls.map((call) => call.text).join('\n'),
      calls,
      system: { style: 'numbers', fastest: 'high', scale: 6, order: 'grade-first', signs: false },
      reasons: [],
      dictated: false,
    },
    placement: { calls: placed, gradeScale: [], odometer: 1, evidence: 0 },
    cells: { step: 1, curvature, slope, vertical },
    durations,
  }
}

function corner(grade: number, sign: number, radius: number): NoteElement {
  const side = sign > 0 ? 'left' : 'right'
  return element(`${grade} ${side}`, 'brake', 0, {
    is: 'corner',
    side,
    grade: { name: String(grade), radius, angle: 0.8 },
  })
}

function element(
  text: string,
  timing: NoteElement['timing'],
  drop: NoteElement['drop'],
  meaning: Meaning,
): NoteElement {
  return { kind: 'unknown', value: text, text, from: 0, to: text.length, timing, drop, meaning, words: [] }
}

function duration(elements: readonly NoteElement[], word: number): CallDuration {
  let end = 0
  const elementEnds = elements.map((one) => {
    end += word * one.text.split(' ').length
    return end
  })
  return { duration: end, elementEnds }
}
