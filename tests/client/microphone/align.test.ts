import { describe, expect, it } from 'vitest'
import { Aligner } from '../../../client/microphone/align.ts'
import { BANDS } from '../../../client/microphone/melFrames.ts'
import { PRICES, type Prices } from '../../../client/microphone/prices.ts'
import { scriptOf, type Template } from '../../../client/microphone/templates.ts'
import { seededRandom } from '../../seededRandom.ts'

/** Prices without memory of the path (no running offset, no lateness), so that the least over all paths is the least over all sequences of segments. */
const PLAIN: Prices = {
  ...PRICES,
  spread: Number.POSITIVE_INFINITY,
  follow: 0,
  again: 3,
  againWithin: 100,
  correctedAfter: 0,
}
const MASK = new Float32Array(BANDS).fill(-10)

const frame = (random: () => number) => Float32Array.from({ length: BANDS }, () => -10 + 6 * random())

function distance(x: Float32Array, r: Float32Array): number {
  let sum = 0
  for (let b = 0; b < BANDS; b++) sum += Math.min(PLAIN.most, Math.abs(Math.max(x[b]!, -10) - Math.max(r[b]!, -10)))
  return (PLAIN.distance * sum) / BANDS
}
const over = (x: Float32Array) => x.reduce((sum, v) => sum + Math.max(0, v + 10), 0) / BANDS
const quiet = (x: Float32Array) => x.reduce((sum, v) => sum + Math.min(PLAIN.most, Math.max(0, v + 10)), 0) / BANDS

/** Every way through one call over take frames [from, to): written as a search over all steps, with pauses, independent of align. */
function waysThrough(
  take: Float32Array[],
  from: number,
  to: number,
  rows: Float32Array[],
  boundaries: readonly number[],
) {
  let [whole, broken] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]
  const walk = (t: number, j: number, pausing: boolean, cost: number) => {
    if (t === to) {
      if (pausing) return
      if (j === rows.length - 1) whole = Math.min(whole, cost)
      if (j === rows.length - 2) whole = Math.min(whole, cost + PLAIN.skip)
      if (boundaries.includes(j) && j < rows.length - 1) broken = Math.min(broken, cost + PLAIN.corrected)
      return
    }
    const say = (row: number, price: number) => {
      if (row < rows.length) walk(t + 1, row, false, cost + price + distance(take[t]!, rows[row]!))
    }
    const silence = PLAIN.silence * PLAIN.distance * quiet(take[t]!)
    if (pausing) {
      say(j + 1, 0)
      walk(t + 1, j, true, cost + PLAIN.pauseStay + silence)
      return
    }
    say(j, PLAIN.stay)
    say(j + 1, 0)
    say(j + 2, PLAIN.skip)
    if (boundaries.includes(j)) walk(t + 1, j, true, cost + PLAIN.pauseBegin + silence)
  }
  walk(from + 1, 0, false, distance(take[from]!, rows[0]!))
  return { whole, broken }
}

/** The least cost over every sequence of silence, something else and calls: next call, calls left out, the last one again, or one begun again. */
function bruteForce(take: Float32Array[], calls: { rows: Float32Array[]; boundaries: readonly number[] }[]) {
  const known = new Map<string, { cost: number; said: string }>()
  const least = (t: number, next: number, last: number): { cost: number; said: string } => {
    if (t === take.length) return { cost: 0, said: '' }
    const key = `${t} ${next} ${last}`
    const before = known.get(key)
    if (before) return before
    let best = { cost: Number.POSITIVE_INFINITY, said: '' }
    const offer = (cost: number, rest: { cost: number; said: string }, said = '') => {
      if (cost + rest.cost < best.cost - 1e-9) best = { cost: cost + rest.cost, said: said + rest.said }
    }
    offer(PLAIN.silence * PLAIN.distance * quiet(take[t]!), least(t + 1, next, last))
    let other = PLAIN.otherBegin
    for (let to = t + 1; to <= take.length; to++) {
      other += PLAIN.distance * (PLAIN.otherBase + PLAIN.otherSlope * over(take[to - 1]!))
      offer(other, least(to, next, last))
    }
    for (const [i, { rows, boundaries }] of calls.entries()) {
      const again = i === next - 1 && last === i
      if (i < next && !again) continue
      const price = again ? PLAIN.again : PLAIN.leaveOut * (i - next)
      for (let to = t + 1; to <= take.length; to++) {
        const { whole, broken } = waysThrough(take, t, to, rows, boundaries)
        if (whole < Number.POSITIVE_INFINITY) offer(price + whole, least(to, i + 1, i), `${i} `)
        if (broken < Number.POSITIVE_INFINITY) offer(price + broken, least(to, i, i), `${i}… `)
      }
    }
    known.set(key, best)
    return best
  }
  return least(0, 0, -1)
}

describe('the search over a take', () => {
  it.each([1, 2, 3, 4, 5, 6])('finds what trying every sequence finds, seed %i', (seed) => {
    const random = seededRandom(seed)
    const calls = [3, 4, 3].map((length, i) => ({
      rows: Array.from({ length }, () => frame(random)),
      boundaries: i === 1 ? [1] : [],
    }))
    const silent = new Float32Array(BANDS).fill(-10)
    const near = (row: Float32Array) => row.map((v) => v + 0.3 * (random() - 0.5))
    const saying = [[0, 1, 2], [0, 2], [1, 0], [0, 0, 1], [2], [1, 2]][seed - 1]!
    const take = [
      silent,
      ...saying.flatMap((i) => calls[i]!.rows.filter(() => random() < 0.9).map(near)),
      silent,
      silent,
    ]
    const templates = calls.map(({ rows, boundaries }, call): Template => {
      const frames = new Float32Array(rows.length * BANDS)
      for (const [j, row] of rows.entries()) frames.set(row, j * BANDS)
      return { call, frames, boundaries }
    })
    const level = new Float32Array(BANDS)
    const script = { ...scriptOf(templates, [0, 0, 0]), level }
    const aligner = new Aligner(script, PLAIN)
    for (const one of take) aligner.push(one, MASK, level, 1)
    const heard = aligner.finish(2).map(({ call, partial }) => `${call}${partial ? '…' : ''} `)
    expect(heard.join('')).toBe(bruteForce(take, calls).said)
  })
})
