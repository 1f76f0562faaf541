import type { Seconds, StageTime } from '../units.ts'
import type { ClubCall } from './clubPlan.ts'
import type { QuizItem } from './clubWire.ts'

/** Time a crew has to answer, at most and at least; and how long before the call the question closes. */
const LONGEST: Seconds = 5
const SHORTEST: Seconds = 1.8
const SHUT: Seconds = 0.1
const MOST_QUESTIONS = 30
const CHOICES = 4

/**
 * Questions on the moving road: before a call is said, which comes next? The right one stands among three others of the same stage, other in words, the
 * nearest by place first since a crew confuses neighbours. No question where the calls follow too closely to read four choices.
 */
export function makeQuiz(calls: readonly ClubCall[], random: () => number): QuizItem[] {
  const items: QuizItem[] = []
  for (let i = 1; i < calls.length; i++) {
    const call = calls[i]!
    const opens = Math.max(calls[i - 1]!.end + SHUT, call.start - LONGEST) as StageTime
    const closes = (call.start - SHUT) as StageTime
    if (closes - opens < SHORTEST) continue
    const others: string[] = []
    for (let away = 1; away < calls.length && others.length < CHOICES - 1; away++) {
      for (const near of [calls[i + away], calls[i - away]]) {
        if (near && near.say !== call.say && !others.includes(near.say) && others.length < CHOICES - 1)
          others.push(near.say)
      }
    }
    if (others.length < CHOICES - 1) continue
    const choices = [...others]
    choices.splice(Math.floor(random() * CHOICES), 0, call.say)
    items.push({ call: call.index, opens, closes, choices })
  }
  const every = Math.max(1, items.length / MOST_QUESTIONS)
  return items.filter((_, i) => Math.floor(i / every) !== Math.floor((i - 1) / every))
}
