import type { Call, ElementKind, NoteElement } from './notes.ts'

const MODIFIES: readonly ElementKind[] = ['change', 'cut', 'object', 'surface', 'width']

/** What the running call has so far, as far as the next element's place hangs on it. */
interface Running {
  first: number
  corner: boolean
  position: boolean
  crest: boolean
  feature: boolean
  closed: boolean
}

/**
 * Elements to calls; line ends play no part. A distance, link or gradient closes the running call and belongs to it. A new call opens at a second
 * corner, at a warning or slowing once there is a feature, at a crest-like thing of its own after a corner, and at start and finish. `apart[i]` tells
 * whether a comma or more stands before element i, `lines[i]` its line.
 */
export function splitCalls(
  text: string,
  elements: readonly NoteElement[],
  apart: readonly boolean[],
  lines: readonly number[],
): Call[] {
  const calls: Call[] = []
  const run: Running = { first: 0, corner: false, position: false, crest: false, feature: false, closed: false }
  for (let i = 0; i < elements.length; i++) {
    const element = elements[i]!
    const closes =
      element.kind === 'distance' || element.kind === 'link' || (run.closed && element.timing === 'straight')
    if (i > run.first && !closes && (run.closed || opensCall(run, elements, i, apart[i]!))) {
      calls.push(callOf(text, elements, run.first, i, calls.length, lines))
      run.first = i
      run.corner = run.position = run.crest = run.feature = run.closed = false
    }
    note(run, element)
    if (closes) run.closed = true
  }
  if (run.first < elements.length) calls.push(callOf(text, elements, run.first, elements.length, calls.length, lines))
  return calls
}

function note(run: Running, { kind }: NoteElement): void {
  if (kind === 'corner') run.corner = run.feature = true
  else if (kind === 'crest') run.crest = run.feature = true
  else if (kind === 'landmark' || kind === 'start/finish') run.feature = true
  else if (kind === 'position') run.position = true
}

function callOf(
  text: string,
  elements: readonly NoteElement[],
  first: number,
  end: number,
  index: number,
  lines: readonly number[],
): Call {
  const { from } = elements[first]!
  const { to } = elements[end - 1]!
  return { index, text: text.slice(from, to), from, to, line: lines[first]!, elements: elements.slice(first, end) }
}

const JOINED = /^(over|through|after|before|under|past|at|maybe)\b/

function opensCall(run: Running, elements: readonly NoteElement[], i: number, apart: boolean): boolean {
  const { kind, timing, meaning, value } = elements[i]!
  if (kind === 'corner' || meaning.is === 'turn') return run.corner || (run.position && run.crest)
  if (kind === 'warning' || (kind === 'motion' && timing === 'brake')) {
    if (!run.feature) return false
    let after = i + 1
    while (elements[after]?.kind === 'warning') after++
    const next = elements[after]?.kind
    return next === undefined || !MODIFIES.includes(next)
  }
  if (kind === 'crest') return run.corner && !JOINED.test(value)
  if (kind === 'start/finish') return run.feature
  if (!apart) return false
  const next = elements[i + 1]?.kind
  if (kind === 'length') return run.corner && next === 'corner'
  if (kind === 'position') return run.feature && next === 'crest'
  return false
}
