import type { Seconds, StageTime } from '../units.ts'

/** A call in one wording. `loss` is a small whole number: what leaving words out costs. */
export interface WordingOption {
  readonly length: Seconds
  readonly earliest: StageTime
  readonly latest: StageTime
  readonly loss: number
}

export interface WordingChoice {
  readonly feasible: boolean
  /** Seconds late of critical and of other calls. */
  readonly criticalLate: Seconds
  readonly otherLate: Seconds
  readonly loss: number
  /** Index of the chosen option of each call. */
  readonly choice: number[]
}

interface Cost {
  readonly critical: number
  readonly other: number
  readonly loss: number
}

interface State {
  readonly finish: StageTime
  readonly cost: Cost
  readonly parent: State | null
  readonly option: number
}

/** Times nearer than this are the same; inputs are best given in whole milliseconds, so that equal finishes merge. */
const ROUNDING = 1e-9

/**
 * One wording for each call, least in (lateness of critical calls, lateness of others, loss), in that order: a dynamic programme over
 * finish times with dominated states dropped (scheduling.md §7). Exact; the hopeless case is the same programme with lateness allowed.
 * `options[i]` holds at least one option; `critical` parallel, absent is none. Ties go to the option listed first.
 */
export function chooseWording(
  options: readonly (readonly WordingOption[])[],
  critical: readonly boolean[] = [],
): WordingChoice {
  options.forEach((one, i) => {
    if (one.length === 0) throw new RangeError(`chooseWording: call ${i} has no wording`)
  })
  const none = options.map(() => 0)
  const least = leastLateness(options)
  const end = run(options, critical, none) ?? (least && run(options, critical, least)) ?? run(options, critical, null)!
  const choice = new Array<number>(options.length)
  let state: State | null = end
  for (let i = options.length - 1; i >= 0; i--) {
    choice[i] = state!.option
    state = state!.parent
  }
  const { critical: criticalLate, other: otherLate, loss } = end.cost
  return { feasible: criticalLate + otherLate <= ROUNDING, criticalLate, otherLate, loss, choice }
}

/**
 * Where every call has a wording that is shortest and has the widest window, saying all calls so makes every lateness least at once; null
 * where wordings are not nested like that. Fronts stay small when no more lateness than this is let through.
 */
function leastLateness(options: readonly (readonly WordingOption[])[]): number[] | null {
  let free = Number.NEGATIVE_INFINITY
  const least: number[] = []
  for (const wordings of options) {
    const terse = wordings.find((one) =>
      wordings.every(
        (other) => one.length <= other.length && one.earliest <= other.earliest && one.latest >= other.latest,
      ),
    )
    if (!terse) return null
    const start = Math.max(terse.earliest, free)
    least.push(Math.max(0, start - terse.latest))
    free = start + terse.length
  }
  return least
}

/** `allowed`: greatest lateness of each call, null for any. Null when nothing fits in it. */
function run(
  options: readonly (readonly WordingOption[])[],
  critical: readonly boolean[],
  allowed: readonly number[] | null,
): State | null {
  let front: State[] = [
    { finish: Number.NEGATIVE_INFINITY, cost: { critical: 0, other: 0, loss: 0 }, parent: null, option: 0 },
  ]
  for (const [i, wordings] of options.entries()) {
    const reached: State[] = []
    for (const [option, one] of wordings.entries()) {
      for (const state of front) {
        const start = Math.max(one.earliest, state.finish)
        const late = start - one.latest > ROUNDING ? start - one.latest : 0
        if (allowed !== null && late > allowed[i]! + ROUNDING) continue
        const cost = {
          critical: state.cost.critical + (critical[i] ? late : 0),
          other: state.cost.other + (critical[i] ? 0 : late),
          loss: state.cost.loss + one.loss,
        }
        reached.push({ finish: start + one.length, cost, parent: state, option })
      }
    }
    front = undominated(reached)
    if (front.length === 0) return null
  }
  return front.at(-1)!
}

/** Finish ascending, cost strictly falling. */
function undominated(states: State[]): State[] {
  states.sort((a, b) =>
    Math.abs(a.finish - b.finish) > ROUNDING ? a.finish - b.finish : compare(a.cost, b.cost) || a.option - b.option,
  )
  const kept: State[] = []
  for (const state of states) if (kept.length === 0 || compare(state.cost, kept.at(-1)!.cost) < 0) kept.push(state)
  return kept
}

function compare(a: Cost, b: Cost): number {
  if (Math.abs(a.critical - b.critical) > ROUNDING) return a.critical - b.critical
  if (Math.abs(a.other - b.other) > ROUNDING) return a.other - b.other
  return a.loss - b.loss
}
