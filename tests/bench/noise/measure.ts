import { applyFixes } from '../../../server/notes/acceptCertain.ts'
import type { Diagnostic, ParsedNotes } from '../../../server/notes/notes.ts'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { VOCABULARY } from '../../../server/notes/vocabulary.ts'
import { seededRandom } from '../../seededRandom.ts'
import { type Channel, hear, numberWords, writeHeard } from './noiseChannel.ts'
import { randomStage, type Style, type Vocabulary } from './randomStage.ts'
import { score } from './score.ts'

export interface Sum {
  right: number
  of: number
}
export const share = (sum: Sum) => (sum.of === 0 ? '–' : (sum.right / sum.of).toFixed(4))

/** Numbers in words, as the channel says them, and in digits. */
const NUMBERS: Readonly<Record<string, string>> = Object.fromEntries(
  [...Array.from({ length: 19 }, (_, i) => i + 1), 20, 30, 40, 50, 60, 70, 80, 90].map((value) => [
    numberWords(value)[0]!,
    String(value),
  ]),
)
/** Words to compare by: numbers in digits or words count the same. */
const plain = (words: readonly string[]) => words.map((word) => NUMBERS[word] ?? word).join('')
const wordsIn = (text: string) => text.toLowerCase().match(/[\p{L}'’]+|\d+/gu) ?? []

interface Segment {
  readonly from: number
  readonly to: number
  readonly said: readonly string[]
}

/** Certain fixes by rounds, each judged by what was really said in its range. */
function takeCertain(
  text: string,
  places: readonly Segment[],
  dictated: boolean,
  judge: (right: boolean, fix: Diagnostic, said: readonly string[]) => void,
): string {
  let segments = [...places]
  let now = text
  for (let round = 0; round < 3; round++) {
    const certain = parseNotes(now, { dictated, repair: true }).diagnostics.filter((one) => one.certain && one.fix)
    const taken: NonNullable<Diagnostic['fix']>[] = []
    for (const one of certain) {
      const fix = one.fix!
      if (taken.some((other) => other.to > fix.from)) continue
      taken.push(fix)
      const under = segments.filter((segment) => segment.from < fix.to && segment.to > fix.from)
      const said = under.flatMap((segment) => segment.said)
      judge(plain(wordsIn(fix.insert)) === plain(said), one, said)
    }
    if (taken.length === 0) break
    const next = applyFixes(now, taken)
    const moved: Segment[] = []
    let shift = 0
    let f = 0
    for (const segment of segments) {
      while (f < taken.length && taken[f]!.to <= segment.from) {
        shift += taken[f]!.insert.length - (taken[f]!.to - taken[f]!.from)
        f++
      }
      const fix = taken[f]
      if (fix && fix.from < segment.to) {
        const last = moved.at(-1)
        const from = fix.from + shift
        if (last && last.from === from) moved[moved.length - 1] = { ...last, said: [...last.said, ...segment.said] }
        else moved.push({ from, to: from + fix.insert.length, said: segment.said })
      } else moved.push({ from: segment.from + shift, to: segment.to + shift, said: segment.said })
    }
    segments = moved
    now = next
  }
  return now
}

/** Shares over all stages of one channel; each element counts once. */
export interface Result {
  readonly written: Sum
  readonly certain: Sum
  readonly best: Sum
  /** Elements still wrong after the certain fixes that have a doubt at their place. */
  readonly flagged: Sum
  /** Doubts that stand at something wrong. */
  readonly pointed: Sum
  /** Certain fixes that put the very words that were said, and those that put a word of the same meaning. */
  readonly fixes: Sum
  readonly meant: Sum
}

const none = (): Sum => ({ right: 0, of: 0 })
export const add = (sum: Sum, one: { right: number; of: number }) => {
  sum.right += one.right
  sum.of += one.of
}
const addOne = (sum: Sum, right: boolean, of = 1) => add(sum, { right: right ? of : 0, of })

/** Two ways of writing one row of the table. */
function sameRow(a: string, b: string): boolean {
  return VOCABULARY.some((row) => row.forms.includes(a) && row.forms.includes(b))
}

const flat = (parsed: ParsedNotes) => parsed.notes.calls.flatMap((call) => call.elements)
/** A comma that is only offered is no doubt. */
const isDoubt = (one: Diagnostic) => one.code !== 'lost-comma' && one.certain !== true

/** Random stages through a channel, read as written, with the certain fixes, and by the best reading; `show` prints one stage's wrong places. */
export function measure(q: {
  readonly channel: Channel
  readonly vocabulary: Vocabulary
  readonly styles: readonly Style[]
  readonly stages: number
  readonly firstSeed: number
  readonly show: number | null
}): Result {
  const result: Result = {
    written: none(),
    certain: none(),
    best: none(),
    flagged: none(),
    pointed: none(),
    fixes: none(),
    meant: none(),
  }
  for (let s = 0; s < q.stages; s++) {
    const random = seededRandom(q.firstSeed + s)
    const key = randomStage(random, 20 + Math.floor(random() * 14), q.styles[s % q.styles.length]!, q.vocabulary)
    const heard = hear(key, random, q.channel)
    const { text, places } = writeHeard(heard)
    const first = parseNotes(text, {})
    const { dictated } = first.notes
    add(result.written, score(key, flat(first), text.length))
    const segments = places.map((place, i) => ({ ...place, said: heard[i]!.said }))
    const mended = takeCertain(text, segments, dictated, (right, fix, said) => {
      addOne(result.fixes, right)
      addOne(result.meant, right || sameRow(fix.fix!.insert, said.join(' ')))
      if (!right && q.show !== null) console.log('  wrong fix:', around(text, fix), fix.message, 'said', said.join(' '))
    })
    const after = score(key, flat(parseNotes(mended, { dictated })), mended.length)
    const reading = parseNotes(mended, { dictated, repair: true })
    add(result.certain, after)
    add(result.best, score(key, flat(reading), mended.length))
    const doubts = reading.diagnostics.filter(isDoubt)
    const meets = (doubt: Diagnostic, wrong: { from: number; to: number }) =>
      doubt.from <= wrong.to && doubt.to >= wrong.from
    for (const doubt of doubts)
      addOne(
        result.pointed,
        after.wrong.some((wrong) => meets(doubt, wrong)),
      )
    for (const wrong of after.wrong) {
      const found = doubts.some((doubt) => meets(doubt, wrong))
      addOne(result.flagged, found, wrong.elements)
      if (q.show === s) console.log(found ? '  flagged:' : '  SILENT:', around(mended, wrong))
    }
  }
  return result
}

const around = (text: string, { from, to }: { from: number; to: number }) =>
  JSON.stringify(`${text.slice(Math.max(0, from - 25), from)}[${text.slice(from, to)}]${text.slice(to, to + 25)}`)
