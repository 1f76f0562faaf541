import type { Call, Notes } from '../notes/notes.ts'
import type { CallMark } from './callMark.ts'
import { choicesFor, scatter } from './choices.ts'
import type { ItemKind } from './drill.ts'
import { type Gap, withBlanks } from './gaps.ts'
import type { Item } from './items.ts'

/** What is shown at the desk for one item. */
export interface Question {
  readonly item: string
  readonly kind: ItemKind
  readonly call: number
  /** One sentence: what is asked. */
  readonly asks: string
  /** The call before, or what else leads to the answer; null at the start of the stage or in the middle of a run. */
  readonly leads: string | null
  /** The call with its weightiest words blanked; null when all of it is hidden. */
  readonly blanked: string | null
  readonly gap: Gap
  /** Never met: it is heard, not asked. */
  readonly hear: boolean
  /** To be typed or chosen after saying whether it is known: keeps self-judgement honest. */
  readonly check: boolean
  readonly choices: readonly string[]
  readonly answer: string
}

/** One answer in so many is checked (docs/method/learning.md, Self-judgement). */
export const CHECKED_EVERY = 10

export interface AskedAbout {
  readonly item: Item
  readonly notes: Pick<Notes, 'calls'>
  readonly marks: readonly CallMark[]
  readonly moments: readonly number[]
  readonly gap: Gap
  /** How often the item was met. */
  readonly met: number
  /** Graded answers so far, of all stages: one in CHECKED_EVERY is checked. */
  readonly turn: number
}

/** The question of an item; the same for the same arguments. */
export function questionOf(q: AskedAbout): Question {
  const { item, notes, marks } = q
  const call = notes.calls[item.call]!
  const before = item.call > 0 ? notes.calls[item.call - 1]!.text : null
  const base = {
    item: item.id,
    kind: item.kind,
    call: item.call,
    gap: q.gap,
    hear: q.met === 0 && item.kind === 'say',
    check: q.turn % CHECKED_EVERY === CHECKED_EVERY - 1,
    blanked: null,
  }
  switch (item.kind) {
    case 'say': {
      const { texts } = choicesFor(marks, item.call, q.met)
      return {
        ...base,
        asks: before === null ? 'What is the first call?' : 'What is said here?',
        // In a run the crew goes on from what they said themselves.
        leads: q.gap === 'run' ? null : before,
        blanked: q.gap === 'words' ? withBlanks(call) : null,
        choices: texts,
        answer: call.text,
      }
    }
    case 'follows': {
      const next = item.call + 1
      const { texts } = choicesFor(marks, next, q.met)
      return { ...base, asks: 'Which call follows?', leads: call.text, choices: texts, answer: notes.calls[next]!.text }
    }
    case 'tightens': {
      const answer = changeOf(call)
      return {
        ...base,
        asks: 'What does this corner do after its start?',
        leads: withoutChange(call),
        choices: changesFor(notes.calls, answer, q.met),
        answer,
      }
    }
    case 'order': {
      const calls = notes.calls.slice(item.call, item.until).map((one) => one.text)
      const mixed = calls.map((text, i) => ({ text, at: scatter(i, q.met + 17) })).sort((a, b) => a.at - b.at)
      return {
        ...base,
        asks: `Put these ${calls.length} calls in order.`,
        leads: before,
        choices: mixed.map((one) => one.text),
        answer: calls.join('\n'),
      }
    }
    case 'moment': {
      const at = q.moments.indexOf(item.call)
      const last = q.moments[at - 1]
      const wrong = q.moments
        .filter((one) => one !== item.call && marks[one]!.key !== marks[item.call]!.key)
        .sort((a, b) => scatter(a, q.met) - scatter(b, q.met))
        .slice(0, 3)
      return {
        ...base,
        asks: last === undefined ? 'Which of the great moments comes first?' : 'Which great moment comes next?',
        leads: last === undefined ? null : notes.calls[last]!.text,
        choices: [...wrong, item.call]
          .sort((a, b) => scatter(a, q.met + 1) - scatter(b, q.met + 1))
          .map((one) => notes.calls[one]!.text),
        answer: call.text,
      }
    }
  }
}

const changeOf = (call: Call) =>
  call.elements
    .filter((one) => one.meaning.is === 'change')
    .map((one) => one.text)
    .join(', ')

function withoutChange(call: Call): string {
  let text = call.text
  for (const element of [...call.elements].reverse()) {
    if (element.meaning.is === 'change')
      text = `${text.slice(0, element.from - call.from)}____${text.slice(element.to - call.from)}`
  }
  return text
}

/** The change of this call among three others: of the stage first, then common ones. */
function changesFor(calls: readonly Call[], answer: string, turn: number): string[] {
  const others = [...calls.map(changeOf), 'tightens', 'opens', 'tightens late', 'opens long', 'tightens twice']
  const wrong = [...new Set(others)]
    .filter((one) => one !== '' && one.toLowerCase() !== answer.toLowerCase())
    .slice(0, 3)
  return [...wrong, answer].sort(
    (a, b) => scatter(a.length * 31 + a.charCodeAt(0), turn) - scatter(b.length * 31 + b.charCodeAt(0), turn),
  )
}
