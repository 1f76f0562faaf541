import type { Call, Notes } from '../notes/notes.ts'
import type { Seconds } from '../units.ts'
import { keyOf } from './callMark.ts'
import type { Grade, How } from './drill.ts'

/** Time to read the question, and to type a letter or find a choice, seconds (ours, not from a source). */
const READ = 3
const A_LETTER = 0.45
const A_CHOICE = 1.2
const CHOICES = 4

/** How long an answer at the desk may take and still count as in time. */
export function deskLimit(how: How, answer: string): Seconds {
  if (how === 'typed') return READ + A_LETTER * answer.length
  return READ + A_CHOICE * CHOICES
}

/** Two texts mean the same call: same corner, grade, modifiers and warnings; spelling, links, distances and order of modifiers aside. */
export function meansTheSame(expected: Pick<Call, 'elements' | 'text'>, typed: Pick<Notes, 'calls'>): boolean {
  const said = typed.calls.flatMap((call) => keyOf(call).split(' | ')).sort()
  const due = keyOf(expected).split(' | ').sort()
  return said.length === due.length && said.every((value, i) => value === due[i])
}

/** Right within the time is in time, right but later is late, else no. */
export function gradeOf(right: boolean, took: Seconds, limit: Seconds): Grade {
  if (!right) return 'no'
  return took <= limit ? 'in time' : 'late'
}
