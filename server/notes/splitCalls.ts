import type { Match } from './match.ts'
import type { Call, NoteElement } from './notes.ts'

/** An element with what only the split needs to know: whether a comma or more stands before it. */
export interface SplitElement {
  readonly match: Match
  readonly element: NoteElement
  readonly apart: boolean
  readonly line: number
}

const CLOSING = new Set(['distance', 'link'])

/**
 * Elements to calls (notes-grammar §3; line ends play no part). A distance, link or gradient closes the running call and belongs to it. A new call
 * opens at a second corner, at a warning or slowing once there is a feature, at a crest-like thing of its own after a corner, and at start and finish.
 */
export function splitCalls(text: string, elements: readonly SplitElement[]): Call[] {
  const groups: SplitElement[][] = []
  let open: SplitElement[] = []
  let closed = false
  elements.forEach((one, i) => {
    const closes = CLOSING.has(one.element.kind) || (closed && one.element.timing === 'straight')
    if (open.length > 0 && !closes && (closed || opensCall(open, one, elements, i))) {
      groups.push(open)
      open = []
      closed = false
    }
    open.push(one)
    if (closes) closed = true
  })
  if (open.length > 0) groups.push(open)
  return groups.map((group, index) => {
    const from = group[0]!.element.from
    const to = group.at(-1)!.element.to
    return {
      index,
      text: text.slice(from, to),
      from,
      to,
      line: group[0]!.line,
      elements: group.map((one) => one.element),
    }
  })
}

const MODIFIES = new Set(['change', 'cut', 'object', 'surface', 'width'])

function opensCall(
  open: readonly SplitElement[],
  one: SplitElement,
  elements: readonly SplitElement[],
  i: number,
): boolean {
  const has = (kind: string) => open.some((other) => other.element.kind === kind)
  const hasCorner = has('corner')
  const hasFeature = open.some((other) => ['corner', 'crest', 'landmark', 'start/finish'].includes(other.element.kind))
  const { kind } = one.element
  const next = elements[i + 1]
  if (kind === 'corner' || one.match.cls === 'turn') return hasCorner || (has('position') && has('crest'))
  if (kind === 'warning' || (kind === 'motion' && one.element.timing === 'brake')) {
    if (!hasFeature) return false
    let after = i + 1
    while (elements[after]?.element.kind === 'warning') after++
    return !MODIFIES.has(elements[after]?.element.kind ?? '')
  }
  if (kind === 'crest')
    return hasCorner && !/^(over|through|after|before|under|past|at|maybe)\b/.test(one.element.value)
  if (kind === 'start/finish') return hasFeature || hasCorner
  if (!one.apart) return false
  if (kind === 'length') return hasCorner && next?.element.kind === 'corner'
  if (kind === 'position') return hasFeature && next?.element.kind === 'crest'
  return false
}
