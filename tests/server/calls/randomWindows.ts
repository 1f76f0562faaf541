import type { CallWindow } from '../../../server/calls/plan.ts'

/** Windows in whole units, some of them hopeless. */
export function randomWindows(random: () => number, n: number): CallWindow[] {
  const whole = (below: number) => Math.floor(random() * below)
  let at = 0
  return Array.from({ length: n }, () => {
    at += whole(5)
    const earliest = at - whole(8)
    const latest = earliest + whole(14) - 1
    return { length: 1 + whole(6), earliest, latest, preferred: latest - whole(4), weight: 1 + whole(3) }
  })
}
