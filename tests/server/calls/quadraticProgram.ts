import { solveQP } from 'quadprog'
import type { CallWindow } from '../../../server/calls/plan.ts'

/** A pinned call leaves no room inside; the solver needs a little to tell it from none. */
const LOOSE = 1e-7

/** The schedule as a general quadratic program: shares nothing with the scheduler. Bounds are [earliest, max(latest, soonest)]. */
export function scheduleByQuadraticProgram(windows: readonly CallWindow[], soonest: readonly number[]): number[] {
  const n = windows.length
  const rows: { at: readonly (readonly [number, number])[]; b: number }[] = []
  windows.forEach((window, i) => {
    rows.push({ at: [[i, 1]], b: window.earliest })
    rows.push({ at: [[i, -1]], b: -Math.max(window.latest, soonest[i]!) - LOOSE })
    if (i > 0)
      rows.push({
        at: [
          [i, 1],
          [i - 1, -1],
        ],
        b: windows[i - 1]!.length,
      })
  })
  const D = [[] as number[], ...windows.map((window, i) => fromOne(n, (k) => (k === i ? window.weight : 0)))]
  const d = fromOne(n, (k) => windows[k]!.weight * windows[k]!.preferred)
  const A = [
    [] as number[],
    ...windows.map((_, i) => fromOne(rows.length, (r) => rows[r]!.at.find(([k]) => k === i)?.[1] ?? 0)),
  ]
  const b = fromOne(rows.length, (r) => rows[r]!.b)
  const { solution, message } = solveQP(D, d, A, b)
  if (message) throw new Error(message)
  return solution.slice(1)
}

const fromOne = (n: number, value: (k: number) => number) => [0, ...Array.from({ length: n }, (_, k) => value(k))]
