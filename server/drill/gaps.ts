import type { Call, ElementKind } from '../notes/notes.ts'

/** What is hidden at a call: only its weightiest words, the call, or a run of calls. A display: it chooses neither what is asked nor when. */
export type Gap = 'words' | 'call' | 'run'

/** Chances of recall at which gaps grow (ours, not from a source). */
const CALL_FROM = 0.4
const RUN_FROM = 0.85

/** Gap of each call from the chance that it is known; a run needs the calls on both sides to be as well known. */
export function gapsOf(known: readonly number[]): Gap[] {
  return known.map((p, i) => {
    if (p < CALL_FROM) return 'words'
    const around = Math.min(p, known[i - 1] ?? 1, known[i + 1] ?? 1)
    return around >= RUN_FROM ? 'run' : 'call'
  })
}

/** Kinds by what a driver loses most without: hidden first. */
const WEIGHTIEST: readonly (readonly ElementKind[])[] = [
  ['corner'],
  ['change', 'warning', 'crest'],
  ['distance', 'object', 'cut', 'length', 'position', 'line', 'motion'],
]

/** Ranges of the call's own text to hide for `words`: its corner, or what comes nearest to one. Everything when nothing in it is understood. */
export function hiddenWords(call: Pick<Call, 'elements' | 'text' | 'from'>): { from: number; to: number }[] {
  for (const kinds of WEIGHTIEST) {
    const hits = call.elements.filter((one) => kinds.includes(one.kind))
    if (hits.length > 0) return hits.map((one) => ({ from: one.from - call.from, to: one.to - call.from }))
  }
  return [{ from: 0, to: call.text.length }]
}

/** A call with what is hidden as a blank of its own length in words. */
export function withBlanks(call: Pick<Call, 'elements' | 'text' | 'from'>): string {
  let text = call.text
  for (const { from, to } of hiddenWords(call).reverse()) {
    const words = text.slice(from, to).trim().split(/\s+/).length
    text = `${text.slice(0, from)}${Array.from({ length: words }, () => '____').join(' ')}${text.slice(to)}`
  }
  return text
}
