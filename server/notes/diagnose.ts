import type { Lexicon } from './lexicon.ts'
import { nearWord } from './nearWord.ts'
import type { Diagnostic, NoteElement, Notes } from './notes.ts'

/** What a person should look at in notes as they stand, in the order of the text. */
export function diagnose(notes: Notes, lexicon: Lexicon): Diagnostic[] {
  return notes.calls.flatMap((call) => {
    const found: Diagnostic[] = []
    let corner: NoteElement | null = null
    for (const element of call.elements) {
      if (element.kind === 'unknown') found.push(unknown(element, lexicon))
      if (element.kind === 'filler' && element.drop < 3) found.push(leftOver(element))
      if (element.meaning.is === 'corner') {
        corner = element
        if (element.meaning.side === null)
          found.push(missing(element, 'grade-without-side', `"${element.text}" has no side: left or right?`))
        if (element.meaning.grade === null && !call.elements.some((one) => one.meaning.is === 'turn')) {
          found.push(missing(element, 'side-without-grade', `"${element.text}" has no grade: how tight is it?`))
        }
      }
      const wrong = corner && contradiction(corner, element)
      if (wrong) found.push(wrong)
    }
    return found
  })
}

const missing = (element: NoteElement, code: string, message: string): Diagnostic => ({
  severity: 'warning',
  code,
  message,
  from: element.from,
  to: element.to,
})

function unknown(element: NoteElement, lexicon: Lexicon): Diagnostic {
  const near = nearWord(element.text.toLowerCase(), lexicon)
  const message =
    near === null
      ? `"${element.text}" is not a known word; it is read out as it stands.`
      : `"${element.text}" is not a known word; did you mean "${near}"?`
  const fix =
    near === null ? {} : { fix: { label: `make it "${near}"`, from: element.from, to: element.to, insert: near } }
  return { severity: 'warning', code: 'unknown', message, from: element.from, to: element.to, ...fix }
}

const leftOver = (element: NoteElement): Diagnostic => ({
  severity: 'hint',
  code: 'odd',
  message: `"${element.text}" belongs to nothing beside it; it is read out as it stands.`,
  from: element.from,
  to: element.to,
})

/** A corner cannot tighten to a faster grade, nor open to a slower one. */
function contradiction(corner: NoteElement, element: NoteElement): Diagnostic | null {
  if (element.meaning.is !== 'change' || corner.meaning.is !== 'corner') return null
  const from = corner.meaning.grade
  const { to, sense } = element.meaning
  if (from === null || to === null || to.radius === from.radius) return null
  if (to.radius < from.radius === (sense === 'tightens')) return null
  const than = sense === 'tightens' ? 'wider' : 'tighter'
  return missing(
    element,
    'contradiction',
    `"${corner.text} ${element.text}": ${to.name} is ${than} than ${from.name} in this grade system.`,
  )
}
