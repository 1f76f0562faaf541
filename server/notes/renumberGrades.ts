import type { Fix, GradeSystem, NoteElement, Notes } from './notes.ts'

const WORDS = ['one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine']

/**
 * The edits that turn the number scale round: grade g becomes scale + 1 − g in every corner and every target, digits as digits and words as words; signs
 * stay, since plus is wider in either system. Degrees, worded grades, distances and comments are left. With the edits made the system is the one given
 * back, whose `fastest` end is the other. Doing it twice gives the text as it was.
 */
export function renumberGrades(notes: Notes): { edits: readonly Fix[]; system: GradeSystem } {
  const { system } = notes
  const edits = notes.calls.flatMap((call) => call.elements.flatMap((element) => editOf(element, system) ?? []))
  return { edits, system: { ...system, fastest: system.fastest === 'high' ? 'low' : 'high' } }
}

function editOf(element: NoteElement, system: GradeSystem): Fix | null {
  const { meaning } = element
  const grade = meaning.is === 'corner' ? meaning.grade : meaning.is === 'change' ? meaning.to : null
  if (grade === null || !/^[1-9](?!\d|.*°)/.test(grade.name)) return null
  const value = Number(grade.name[0])
  const turned = system.scale + 1 - value
  if (turned < 1 || turned > 9) return null
  const place = new RegExp(`(?<![\\d])${value}(?!\\d)|\\b${WORDS[value - 1]}\\b`, 'i').exec(element.text)
  if (place === null) return null
  const written = place[0]
  const word = WORDS[turned - 1]!
  const insert = /\d/.test(written)
    ? String(turned)
    : /^[A-Z]/.test(written)
      ? word[0]!.toUpperCase() + word.slice(1)
      : word
  const from = element.from + place.index
  return { label: `${written} becomes ${insert}`, from, to: from + written.length, insert }
}
