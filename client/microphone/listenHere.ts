import { forcedCost, SURE } from './confidence.ts'
import type { HeardCall } from './hearTake.ts'
import { BANDS, FRAME_SECONDS } from './melFrames.ts'
import type { Stretch } from './noiseGuard.ts'
import type { Template } from './templates.ts'

/** "Listen here": another word fits what was read better, by so many to one. Never a verdict. */
export interface ListenHere {
  /** Position in the script. */
  readonly call: number
  /** The whole call as it may have been read. */
  readonly instead: string
  readonly odds: number
}

const SIDES = new Set(['left', 'right'])
const GRADES = new Set(['one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'hairpin', 'square'])
/** A number after these is a grade, too. */
const CHANGES = new Set(['tightens', 'opens'])
/** Samples of a word taken from other calls. */
const SAMPLES = 3
/** Pairs of words met less often than this borrow the spread of all pairs. */
const OFTEN = 4
/** Loud speech must stand this far over the floor, dB: in noise nothing is said. */
export const QUIET_FOR_WORDS = 24
/**
 * Log-odds that the other word was said: base + slope · (−margin) + slope · surprise, both bounded [fitted on eight takes of plan seed 1, 44 wrong words in 892 calls:
 * docs/method/reading.md].
 */
const ODDS_BASE = -4.8
const ODDS_MARGIN = 0.93
const ODDS_SURPRISE = 0.31
const LEAST_ODDS = 1
const MOST_ODDS = 50
/** More than these nobody listens to. */
const MOST_PLACES = 20

interface Slot {
  readonly template: Template
  readonly words: readonly string[]
  readonly at: number
  readonly kind: 'side' | 'grade'
}

/** Words of a call that could be mistaken for another of their kind: sides, and numbers beside a side or after a change. */
function slotsOf(template: Template, words: readonly string[]): Slot[] {
  if (template.boundaries.length !== words.length - 1) return []
  return words.flatMap((word, at): Slot[] => {
    if (SIDES.has(word)) return [{ template, words, at, kind: 'side' }]
    const grade =
      GRADES.has(word) &&
      (SIDES.has(words[at + 1] ?? '') || SIDES.has(words[at - 1] ?? '') || CHANGES.has(words[at - 1] ?? ''))
    return grade ? [{ template, words, at, kind: 'grade' }] : []
  })
}

const firstOf = ({ template, at }: Slot) => (at === 0 ? 0 : template.boundaries[at - 1]! + 1)
const endOf = ({ template, at }: Slot) =>
  at === template.boundaries.length ? template.frames.length / BANDS : template.boundaries[at]! + 1

/** The template of `slot` with its word as `other` says it. */
function spliced(slot: Slot, other: Slot): Template {
  const { frames } = slot.template
  const word = other.template.frames.subarray(firstOf(other) * BANDS, endOf(other) * BANDS)
  const head = frames.subarray(0, firstOf(slot) * BANDS)
  const tail = frames.subarray(endOf(slot) * BANDS)
  const all = new Float32Array(head.length + word.length + tail.length)
  all.set(head)
  all.set(word, head.length)
  all.set(tail, head.length + word.length)
  return { call: slot.template.call, frames: all, boundaries: [] }
}

/** One word of one call against one other word: how much dearer the other is, in costs of the whole call. Below 0 the other fits better. */
export interface WordMargin {
  readonly call: number
  readonly at: number
  readonly word: string
  readonly other: string
  readonly margin: number
}

/** Margins of every word that could be mistaken, of calls read surely. `says` is the wording of each call of the script. */
export function wordMargins(
  stretch: Stretch,
  calls: readonly HeardCall[],
  templates: readonly Template[],
  says: readonly string[],
): WordMargin[] {
  const slots = templates.map((template, i) => slotsOf(template, says[i]!.split(' ').filter(Boolean)))
  const byWord = new Map<string, Slot[]>()
  for (const slot of slots.flat()) {
    const key = `${slot.kind} ${slot.words[slot.at]}`
    byWord.set(key, [...(byWord.get(key) ?? []), slot])
  }
  const found: WordMargin[] = []
  for (const { call, from, to, kind, confidence } of calls) {
    if (kind !== 'read' || confidence < SURE) continue
    const [first, last] = [Math.round(from / FRAME_SECONDS), Math.round(to / FRAME_SECONDS)]
    for (const slot of slots[call]!) {
      const word = slot.words[slot.at]!
      const cheapest = (as: readonly Slot[]) =>
        Math.min(
          ...nearest(as, slot).map((other) => forcedCost(stretch, first, last, spliced(slot, other)) * (last - first)),
        )
      const own = Math.min(
        forcedCost(stretch, first, last, slot.template) * (last - first),
        cheapest(byWord.get(`${slot.kind} ${word}`)!.filter((one) => one.template !== slot.template)),
      )
      for (const [key, as] of byWord) {
        const other = key.slice(slot.kind.length + 1)
        if (!key.startsWith(`${slot.kind} `) || other === word) continue
        found.push({ call, at: slot.at, word, other, margin: cheapest(as) - own })
      }
    }
  }
  return found
}

/** Samples of a word in places most like this one: the same neighbours, then the same place in the call. */
function nearest(as: readonly Slot[], slot: Slot): readonly Slot[] {
  const unlike = (one: Slot) =>
    (one.words[one.at - 1] === slot.words[slot.at - 1] ? 0 : 2) +
    (one.words[one.at + 1] === slot.words[slot.at + 1] ? 0 : 2) +
    Math.min(1, Math.abs(one.at - slot.at))
  return [...as].sort((a, b) => unlike(a) - unlike(b)).slice(0, SAMPLES)
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[sorted.length >> 1] ?? 0
}

/** How far each margin lies under what is usual for this reader and this pair of words, in spreads (1.48 median absolute deviations): an accent is no mistake. */
export function surprises(margins: readonly WordMargin[]): (WordMargin & { readonly surprise: number })[] {
  const pairs = new Map<string, number[]>()
  for (const { word, other, margin } of margins) {
    const key = `${word} ${other}`
    pairs.set(key, [...(pairs.get(key) ?? []), margin])
  }
  const usual = new Map<string, number>()
  for (const [key, list] of pairs) usual.set(key, median(list))
  const spread =
    1.48 * median(margins.map(({ word, other, margin }) => Math.abs(margin - usual.get(`${word} ${other}`)!))) + 1e-6
  const everywhere = median(margins.map(({ margin }) => margin))
  return margins.map((one) => {
    const list = pairs.get(`${one.word} ${one.other}`)!
    // A pair met seldom tells little about itself.
    const weight = Math.min(1, list.length / (2 * OFTEN))
    const middle = weight * usual.get(`${one.word} ${one.other}`)! + (1 - weight) * everywhere
    return { ...one, surprise: (middle - one.margin) / spread }
  })
}

/** Places worth listening to again, one a call, the likeliest first. Nothing at all where speech stands less than QUIET_FOR_WORDS over the floor. */
export function listenHere(
  stretch: Stretch,
  overFloor: number,
  calls: readonly HeardCall[],
  templates: readonly Template[],
  says: readonly string[],
): ListenHere[] {
  if (overFloor < QUIET_FOR_WORDS) return []
  const best = new Map<number, ListenHere>()
  for (const one of surprises(wordMargins(stretch, calls, templates, says))) {
    const fits = Math.max(-6, Math.min(8, -one.margin))
    const odds = Math.exp(ODDS_BASE + ODDS_MARGIN * fits + ODDS_SURPRISE * Math.max(-2, Math.min(10, one.surprise)))
    if (odds < LEAST_ODDS || odds <= (best.get(one.call)?.odds ?? 0)) continue
    const words = says[one.call]!.split(' ').filter(Boolean)
    const instead = words.map((word, i) => (i === one.at ? one.other : word)).join(' ')
    best.set(one.call, { call: one.call, instead, odds: Math.min(MOST_ODDS, odds) })
  }
  return [...best.values()].sort((a, b) => b.odds - a.odds).slice(0, MOST_PLACES)
}
