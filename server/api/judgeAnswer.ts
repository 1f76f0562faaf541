import type { Grade } from '../drill/drill.ts'
import type { Item } from '../drill/items.ts'
import { deskLimit, gradeOf, meansTheSame } from '../drill/judge.ts'
import { questionOf } from '../drill/question.ts'
import type { Notes } from '../notes/notes.ts'
import type { Learning } from './learnDesk.ts'
import type { AnswerTaken } from './learnWire.ts'

/**
 * Grade of an answer and the right answer in words. Typed and chosen texts are judged here, `parse` reading what was typed; self-judged and spoken ones carry
 * their grade. An answer that was right but, in the crew's own word, hard counts as late.
 */
export function judgeAnswer(
  { stage, marks, moments, stored }: Pick<Learning, 'stage' | 'marks' | 'moments' | 'stored'>,
  item: Item,
  answer: Pick<AnswerTaken, 'how' | 'text' | 'grade' | 'seconds' | 'took' | 'hard'>,
  parse: (text: string) => Pick<Notes, 'calls'>,
): { grade: Grade | null; text: string } {
  const memory = stored.get(item.id)?.memory
  const met = memory ? memory.successes + memory.others : 0
  const { answer: text } = questionOf({ item, notes: stage.notes, marks, moments, gap: 'call', met, turn: 0 })
  if (answer.how === 'listen') return { grade: null, text }
  if (answer.how !== 'typed' && answer.how !== 'chosen') return { grade: answer.grade ?? null, text }
  const given = answer.text ?? ''
  const about = item.kind === 'follows' ? item.call + 1 : item.call
  const right =
    item.kind === 'order' || item.kind === 'tightens'
      ? given.trim().toLowerCase() === text.toLowerCase()
      : meansTheSame(stage.notes.calls[about]!, parse(given))
  const grade = gradeOf(right, answer.took ?? answer.seconds, deskLimit(answer.how, text))
  return { grade: grade === 'in time' && answer.hard ? 'late' : grade, text }
}
