import { syllable } from 'syllable'
import type { Seconds, StageTime } from '../units.ts'

/** A call as the plan had it. */
export interface TakeCall {
  readonly index: number
  readonly say: string
  readonly station: number
  readonly start: StageTime
  readonly end: StageTime
  readonly earliest: StageTime
  readonly latest: StageTime
  readonly preferred: StageTime
  readonly actBy: StageTime
  readonly deadline: StageTime | null
}

export interface HeardCall {
  readonly index: number
  readonly from: StageTime
  readonly to: StageTime
  readonly kind: 'read' | 'again' | 'broken off'
  readonly confidence: number
}

export interface Heard {
  readonly calls: readonly HeardCall[]
  readonly overFloor: number
  readonly until: StageTime
  readonly rescued: readonly number[]
  readonly speech: Seconds
}

/** 'not heard': it could not be told. 'skipped': the room was quiet enough to tell that it was not read. 'not reached': the take ended before. */
export type Verdict = 'early' | 'in window' | 'late' | 'not sure' | 'not heard' | 'skipped' | 'rescued' | 'not reached'

export interface ScoredCall {
  readonly index: number
  readonly say: string
  readonly station: number
  readonly verdict: Verdict
  /** Null when it was not heard. */
  readonly start: StageTime | null
  readonly end: StageTime | null
  /** start − preferred. */
  readonly off: Seconds | null
  /** Within 0.1 s of a limit of its window. */
  readonly onTheLine: boolean
  readonly wordsOut: 'in time' | 'too late' | 'undecided' | null
  readonly again: number
  readonly corrected: boolean
  readonly confidence: number | null
  readonly syllables: number
}

export interface TakeScore {
  readonly calls: readonly ScoredCall[]
  readonly counts: Readonly<Record<Verdict, number>>
  /** Of calls reached, how many were read in their window. */
  readonly inWindow: number
  readonly reached: number
  /** Median of start − preferred over scored calls; null without any. */
  readonly medianOff: Seconds | null
  /** Most calls in a row in their window. */
  readonly longestRun: number
  readonly recoveries: readonly { readonly after: number; readonly calls: number | null }[]
  readonly wordsOut: { readonly inTime: number; readonly tooLate: number; readonly undecided: number }
  readonly pace: readonly { readonly from: number; readonly to: number; readonly syllablesPerSecond: number }[]
  /** What makes the whole take doubtful, in words; null when nothing does. */
  readonly doubt: string | null
}

/**
 * Below the first a call counts as not heard, below the second as heard but not sure. Measured on synthetic readers (`npm run bench -- reading`): of calls at SURE or more 99.7 % are
 * right in a quiet room, and 98.7 % of all matched calls reach it.
 */
const HEARD = 0
const SURE = 0.05
/** Calls of another stage with like words reach SURE too often to tell stages apart; this they reach seldom. */
const STAGE_SURE = 0.1
/** Seconds of voiced speech under which a take holds none. */
const LEAST_SPEECH: Seconds = 0.5
/** Within this of a limit of the window a start is "on the line": the p95 of starts at 10 dB is 0.06 s. */
const LINE: Seconds = 0.1
/** Ends of calls are told this well. */
const END_DOUBT: Seconds = 0.15
/** Loud speech must stand this far over the floor before "nothing heard" means "skipped" [measured: about 10 dB in band]. */
export const QUIET_ENOUGH = 12
/** A right take has 93–95 % of its matched calls sure; a take of another stage far fewer. Threshold derived, not tested on people. */
const SURE_SHARE = 0.6
/** Calls a figure of pace is taken over. */
const PACE_SPAN = 20

const INDEX_NEEDED = 8

export const syllablesOf = (words: string): number =>
  words
    .split(/\s+/)
    .filter(Boolean)
    .reduce((sum, word) => sum + Math.max(1, syllable(word)), 0)

/**
 * A take against its plan, call by call (docs/method/reading.md). The first reading gives the start; for a call begun again the first attempt gives the start and
 * the full reading whether its words were out. Calls planned after the recording's end are not reached and count nowhere. Never throws.
 */
export function scoreTake(
  plan: readonly TakeCall[],
  heard: Heard,
  from: StageTime = Number.NEGATIVE_INFINITY,
): TakeScore {
  const rescued = new Set(heard.rescued)
  const byCall = new Map<number, HeardCall[]>()
  for (const one of heard.calls) byCall.set(one.index, [...(byCall.get(one.index) ?? []), one])
  const calls = plan.map((call) => scoreCall(call, byCall.get(call.index) ?? [], heard, rescued.has(call.index), from))
  const counts = {} as Record<Verdict, number>
  for (const verdict of [
    'early',
    'in window',
    'late',
    'not sure',
    'not heard',
    'skipped',
    'rescued',
    'not reached',
  ] as const)
    counts[verdict] = calls.filter((call) => call.verdict === verdict).length
  const reachedCalls = calls.filter((call) => call.verdict !== 'not reached')
  const offs = calls.flatMap((call) => (call.off !== null && isScored(call.verdict) ? [call.off] : []))
  return {
    calls,
    counts,
    inWindow: counts['in window'],
    reached: reachedCalls.length,
    medianOff: offs.length > 0 ? median(offs) : null,
    longestRun: longestRun(reachedCalls),
    recoveries: recoveriesOf(reachedCalls),
    wordsOut: {
      inTime: calls.filter((call) => call.wordsOut === 'in time').length,
      tooLate: calls.filter((call) => call.wordsOut === 'too late').length,
      undecided: calls.filter((call) => call.wordsOut === 'undecided').length,
    },
    pace: paceBySection(calls),
    doubt: doubtOf(heard, reachedCalls),
  }
}

const isScored = (verdict: Verdict) => verdict === 'early' || verdict === 'in window' || verdict === 'late'

function scoreCall(
  call: TakeCall,
  found: readonly HeardCall[],
  heard: Heard,
  rescued: boolean,
  from: StageTime,
): ScoredCall {
  const read = found.filter((one) => one.kind !== 'broken off')
  const broken = found.find((one) => one.kind === 'broken off')
  const first = read[0]
  const base = { index: call.index, say: call.say, station: call.station, syllables: syllablesOf(call.say) }
  const nothing = {
    start: null,
    end: null,
    off: null,
    onTheLine: false,
    wordsOut: null,
    again: 0,
    corrected: false,
    confidence: null,
  }
  if (rescued) return { ...base, ...nothing, verdict: 'rescued' }
  // Without a voice in it even cabin noise sounds like some call: then nothing was heard.
  if (first === undefined || first.confidence < HEARD || heard.speech < LEAST_SPEECH) {
    if (call.latest > heard.until || call.start < from) return { ...base, ...nothing, verdict: 'not reached' }
    const skipped = first === undefined && broken === undefined && heard.overFloor >= QUIET_ENOUGH
    return { ...base, ...nothing, verdict: skipped ? 'skipped' : 'not heard', confidence: first?.confidence ?? null }
  }
  const start = broken !== undefined && broken.from < first.from ? broken.from : first.from
  const verdict: Verdict =
    first.confidence < SURE ? 'not sure' : start < call.earliest ? 'early' : start > call.latest ? 'late' : 'in window'
  const spare = call.deadline === null ? null : call.deadline - first.to
  return {
    ...base,
    verdict,
    start,
    end: first.to,
    off: start - call.preferred,
    onTheLine: Math.min(Math.abs(start - call.earliest), Math.abs(start - call.latest)) < LINE,
    wordsOut: spare === null ? null : Math.abs(spare) < END_DOUBT ? 'undecided' : spare > 0 ? 'in time' : 'too late',
    again: read.length - 1,
    corrected: broken !== undefined,
    confidence: first.confidence,
  }
}

/** Calls that are not sure neither break a run nor count. */
function longestRun(calls: readonly ScoredCall[]): number {
  let [run, most] = [0, 0]
  for (const { verdict } of calls) {
    if (verdict === 'not sure') continue
    run = verdict === 'in window' ? run + 1 : 0
    most = Math.max(most, run)
  }
  return most
}

/** After a late, skipped or corrected call: calls until the next two running are in their window; null when the take ends first. */
function recoveriesOf(calls: readonly ScoredCall[]): { after: number; calls: number | null }[] {
  const found: { after: number; calls: number | null }[] = []
  for (let i = 0; i < calls.length; i++) {
    const slip = calls[i]!
    if (!(slip.verdict === 'late' || slip.verdict === 'skipped' || slip.corrected)) continue
    let at = i + 1
    while (at + 1 < calls.length && !(calls[at]!.verdict === 'in window' && calls[at + 1]!.verdict === 'in window'))
      at++
    found.push({ after: slip.index, calls: at + 1 < calls.length ? at - i - 1 : null })
    i = Math.max(i, at - 1)
  }
  return found
}

function paceBySection(calls: readonly ScoredCall[]): { from: number; to: number; syllablesPerSecond: number }[] {
  const spoken = calls.filter((call) => call.start !== null && !call.corrected && call.end! > call.start)
  const sections = []
  for (let i = 0; i < spoken.length; i += PACE_SPAN) {
    const part = spoken.slice(i, i + PACE_SPAN)
    if (part.length < 3) break
    sections.push({
      from: part[0]!.station,
      to: part.at(-1)!.station,
      syllablesPerSecond: median(part.map((call) => call.syllables / (call.end! - call.start!))),
    })
  }
  return sections
}

function doubtOf(heard: Heard, reached: readonly ScoredCall[]): string | null {
  if (reached.length === 0) return null
  const matched = heard.calls.filter((one) => one.kind === 'read')
  const sure = matched.filter((one) => one.confidence >= STAGE_SURE).length
  if (heard.speech < LEAST_SPEECH)
    return 'No speech was heard in this take. Was the right microphone chosen, and its switch on?'
  if (reached.length < INDEX_NEEDED) return null
  if (heard.overFloor < QUIET_ENOUGH)
    return 'Speech hardly stands out of the noise in this take, so what is not heard may have been read. Nothing is guessed.'
  if (matched.length < reached.length * 0.4 || sure < matched.length * SURE_SHARE)
    return 'Few of these calls sound like the notes of this stage. Is this the right stage, and are these the notes that were read?'
  return null
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2
}
