import { boundedIsotonic } from '../numeric/boundedIsotonic.ts'
import type { Seconds, StageTime } from '../units.ts'
import { crunchRate } from './crunchRate.ts'
import type { CallWindow, Crunch } from './plan.ts'

export interface Schedule {
  readonly starts: StageTime[]
  /** Seconds past latest that no schedule can avoid. */
  readonly late: Seconds[]
  /** Least possible start of each call. */
  readonly soonest: StageTime[]
  /** Latest start with nothing after it late, by the latest starts as given (slack may be negative: a later deadline is lost already) … */
  readonly trueLatest: StageTime[]
  readonly slack: Seconds[]
  /** … and without making any call later than it already is; ≥ 0. The one to show. */
  readonly trueLatestEff: StageTime[]
  readonly slackEff: Seconds[]
  /** Σ w (start − preferred)². */
  readonly cost: number
}

/**
 * When to start each call: one voice, calls in order, `x_i + length_i ≤ x_{i+1}`, earliest ≤ x. Lateness is least for every call at
 * once (scheduling.md §2); among those schedules Σ w (x − preferred)² is least (§3). Exact, O(n). Unit-free: seconds or whole milliseconds.
 * With `whole`, inputs must be whole numbers and starts come out whole, best among whole schedules (§10).
 * Throws RangeError for lengths or weights that are not > 0, or values that are not finite.
 */
export function schedule(windows: readonly CallWindow[], options: { readonly whole?: boolean } = {}): Schedule {
  const n = windows.length
  windows.forEach(check)
  const before = new Float64Array(n + 1) // C: speech before each call; y = x − C turns order into monotony
  for (let i = 0; i < n; i++) before[i + 1] = before[i]! + windows[i]!.length
  const soonest = soonestStarts(windows)
  const late = windows.map((window, i) => Math.max(0, soonest[i]! - window.latest))
  const bound = windows.map((window, i) => Math.max(window.latest, soonest[i]!))
  const y = boundedIsotonic({
    preferred: windows.map((window, i) => window.preferred - before[i]!),
    weight: windows.map((window) => window.weight),
    low: windows.map((window, i) => window.earliest - before[i]!),
    high: bound.map((latest, i) => latest - before[i]!),
  })
  const starts = Array.from(y, (value, i) =>
    // A late call is pinned; its start is written as it was found, never through y: an ulp would become a lateness.
    late[i]! > 0 ? soonest[i]! : (options.whole ? Math.round(value) : value) + before[i]!,
  )
  const trueLatest = latestStarts(
    windows.map((window) => window.latest),
    before,
  )
  const trueLatestEff = latestStarts(bound, before)
  return {
    starts,
    late,
    soonest,
    trueLatest,
    slack: trueLatest.map((latest, i) => latest - starts[i]!),
    trueLatestEff,
    slackEff: trueLatestEff.map((latest, i) => Math.max(0, latest - starts[i]!)),
    cost: windows.reduce((sum, window, i) => sum + window.weight * (starts[i]! - window.preferred) ** 2, 0),
  }
}

/** Forward recursion: least start of each call, all at once. */
export function soonestStarts(windows: readonly CallWindow[], free: StageTime = Number.NEGATIVE_INFINITY): StageTime[] {
  let voiceFree = free
  return windows.map((window) => {
    const start = Math.max(window.earliest, voiceFree)
    voiceFree = start + window.length
    return start
  })
}

/** C_i + min over j ≥ i of (latest_j − C_j). */
function latestStarts(latest: readonly StageTime[], before: Float64Array): StageTime[] {
  const result = new Array<StageTime>(latest.length)
  let least = Number.POSITIVE_INFINITY
  for (let i = latest.length - 1; i >= 0; i--) {
    least = Math.min(least, latest[i]! - before[i]!)
    result[i] = before[i]! + least
  }
  return result
}

function check(window: CallWindow, i: number): void {
  if (!(window.length > 0 && Number.isFinite(window.length)))
    throw new RangeError(`schedule: length of call ${i} must be > 0, got ${window.length}`)
  if (!(window.weight > 0 && Number.isFinite(window.weight)))
    throw new RangeError(`schedule: weight of call ${i} must be > 0, got ${window.weight}`)
  for (const name of ['earliest', 'latest', 'preferred'] as const) {
    if (!Number.isFinite(window[name]))
      throw new RangeError(`schedule: ${name} of call ${i} must be finite, got ${window[name]}`)
  }
}

/** Lateness up to this is rounding. */
const ROUNDING = 1e-9

/**
 * Runs of calls that cannot all be said in time: connected unions of pairs a ≤ b with e_a > l_b (scheduling.md §5), in order, O(n) and a few
 * passes each for the rate. `first`, `last` and `core` are indices into `windows`. `tolerance` ≥ 0 in the windows' unit.
 */
export function findCrunches(windows: readonly CallWindow[], tolerance: Seconds = ROUNDING): Crunch[] {
  const n = windows.length
  windows.forEach(check)
  let before = 0
  const e: number[] = []
  const l: number[] = []
  for (const window of windows) {
    e.push(window.earliest - before)
    l.push(window.latest - before)
    before += window.length
  }
  const M = [...e] // prefix maxima and where they are reached
  const at = e.map((_, i) => i)
  for (let i = 1; i < n; i++) {
    if (M[i - 1]! >= M[i]!) {
      M[i] = M[i - 1]!
      at[i] = at[i - 1]!
    }
  }
  const m = [...l] // suffix minima
  for (let i = n - 2; i >= 0; i--) m[i] = Math.min(m[i]!, m[i + 1]!)

  const crunches: Crunch[] = []
  for (let i = 0; i < n; i++) {
    if (M[i]! - m[i]! <= tolerance) continue
    let j = i
    while (j + 1 < n && M[j]! - m[j + 1]! > tolerance) j++
    let worst = i
    for (let b = i; b <= j; b++) if (M[b]! - l[b]! > M[worst]! - l[worst]!) worst = b
    crunches.push({
      first: i,
      last: j,
      over: M[worst]! - l[worst]!,
      core: [at[worst]!, worst],
      rate: crunchRate(windows.slice(i, j + 1)),
    })
    i = j
  }
  return crunches
}
