import { expect, it } from 'vitest'
import {
  blockAt,
  firstInView,
  layOutStrip,
  MOST_ROWS,
  TIME_STEPS,
  tickEvery,
} from '../../../client/rehearsal/stripLayout.ts'
import { seededRandom } from '../../seededRandom.ts'

const LETTER = 7
const measure = (words: string) => words.length * LETTER

/** Calls said one after another, as a plan has them. */
function someCalls(seed: number, n: number) {
  const random = seededRandom(seed)
  let t = 0
  return Array.from({ length: n }, () => {
    const start = t + random() * 1.2
    const words = Array.from({ length: 1 + Math.floor(random() * 5) }, () =>
      'words'.slice(0, 2 + Math.floor(random() * 4)),
    )
    const end = start + 0.3 + random() * 1.6
    t = end
    return { say: words.join(' '), start, end, actBy: end + 2, late: random() < 0.2 ? random() * 2 : 0 }
  })
}

for (const scale of [0.5, 4, 20, 60, 200]) {
  it(`lets no words of one row collide at ${scale} pixels a second`, () => {
    const layout = layOutStrip(someCalls(11, 300), (t) => t * scale, measure)
    const ends = new Array<number>(MOST_ROWS).fill(Number.NEGATIVE_INFINITY)
    for (const block of layout.blocks) {
      if (block.words === '') continue
      expect(block.left).toBeGreaterThanOrEqual(ends[block.row]!)
      ends[block.row] = block.left + measure(block.words)
    }
  })
}

it('makes a block as wide as it takes to say', () => {
  const [block] = layOutStrip(
    [{ say: 'six left', start: 2, end: 3.5, actBy: 6, late: 0 }],
    (t) => t * 60,
    measure,
  ).blocks
  expect(block!.left).toBe(120)
  expect(block!.width).toBe(90)
})

it('shows every word where there is room', () => {
  const calls = someCalls(5, 40)
  const layout = layOutStrip(calls, (t) => t * 400, measure)
  expect(layout.blocks.map((block) => block.words)).toEqual(calls.map((call) => call.say))
})

it('says seconds over beside a late block, and nothing beside a tight one', () => {
  const call = { say: 'square left', start: 0, end: 1, actBy: 2, late: 0.84 }
  expect(layOutStrip([call], (t) => t * 60, measure).blocks[0]!.note).toBe('0.8 s over')
  expect(layOutStrip([{ ...call, late: 0.1 }], (t) => t * 60, measure).blocks[0]!.note).toBe('')
})

it('finds the block under the pointer on its own row only', () => {
  const layout = layOutStrip(someCalls(3, 20), (t) => t * 60, measure)
  const block = layout.blocks[7]!
  expect(blockAt(layout, block.left + 1, block.row, 0)).toBe(block)
  expect(blockAt(layout, block.left + 1, block.row + MOST_ROWS, 0)).toBeNull()
})

it('begins drawing at the first block that reaches into view', () => {
  const layout = layOutStrip(someCalls(3, 200), (t) => t * 60, measure)
  const first = firstInView(layout, 3000, 500)
  expect(layout.blocks[first]!.left).toBeGreaterThanOrEqual(2500)
  expect(layout.blocks[first - 1]!.left).toBeLessThan(2500)
})

it('leaves room between ticks', () => {
  expect(tickEvery(TIME_STEPS, 8, 70)).toBe(10) // 5 s would be 40 pixels
})
