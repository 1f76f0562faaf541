import { applyFixes } from '../../server/notes/acceptCertain.ts'
import type { Diagnostic } from '../../server/notes/notes.ts'
import { parseNotes } from '../../server/notes/parseNotes.ts'
import { VOCABULARY } from '../../server/notes/vocabulary.ts'
import { seededRandom } from '../seededRandom.ts'
import { type Channel, DICTATION, hear, typed, writeHeard } from './noise/noiseChannel.ts'
import { randomStage, type Style } from './noise/randomStage.ts'
import { score } from './noise/score.ts'

const STAGES = Number(process.env.STAGES ?? 50)
const FIRST_SEED = Number(process.env.SEED ?? 9000)
const SHOW = process.env.SHOW !== undefined

const _elementsOf = (text: string, settings: Parameters<typeof parseNotes>[1]) => parseNotes(text, settings)

interface Sum {
  right: number
  of: number
}
const share = (sum: Sum) => (sum.of === 0 ? '–' : (sum.right / sum.of).toFixed(4))

/** Is the text a fix puts in what was said there? Numbers in digits or words count the same. */
const NUMBERS: Readonly<Record<string, string>> = Object.fromEntries(
  'one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen'
    .split(' ')
    .map((word, i) => [word, String(i + 1)])
    .concat(
      'twenty thirty forty fifty sixty seventy eighty ninety'.split(' ').map((word, i) => [word, String(20 + 10 * i)]),
    ),
)
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

interface Result {
  readonly written: Sum
  readonly certain: Sum
  readonly best: Sum
  readonly flagged: Sum
  readonly fixes: Sum
}

const add = (sum: Sum, one: { right: number; of: number }) => {
  sum.right += one.right
  sum.of += one.of
}

function measure(channel: Channel, styles: readonly Style[]): Result {
  const written: Sum = { right: 0, of: 0 }
  const certain: Sum = { right: 0, of: 0 }
  const best: Sum = { right: 0, of: 0 }
  const flagged: Sum = { right: 0, of: 0 }
  const fixes: Sum = { right: 0, of: 0 }
  for (let s = 0; s < STAGES; s++) {
    const random = seededRandom(FIRST_SEED + s)
    const key = randomStage(random, 20 + Math.floor(random() * 14), styles[s % styles.length]!)
    const heard = hear(key, random, channel)
    const { text, places } = writeHeard(heard)
    const flat = (of: string, settings: Parameters<typeof parseNotes>[1]) =>
      parseNotes(of, settings).notes.calls.flatMap((call) => call.elements)
    const first = parseNotes(text, {})
    const dictated = first.notes.dictated
    add(written, score(key, flat(text, {}), text.length))
    const segments = places.map((place, i) => ({ ...place, said: heard[i]!.said }))
    const mended = takeCertain(text, segments, dictated, (right, fix, said) => {
      add(fixes, { right: right ? 1 : 0, of: 1 })
      if (!right && SHOW)
        console.log(
          '  wrong fix:',
          JSON.stringify(text.slice(Math.max(0, fix.from - 30), fix.to + 30)),
          fix.code,
          fix.message,
          'said',
          said.join(' '),
        )
    })
    const after = score(key, flat(mended, { dictated }), mended.length)
    add(certain, after)
    const reading = parseNotes(mended, { dictated, repair: true })
    add(
      best,
      score(
        key,
        reading.notes.calls.flatMap((call) => call.elements),
        mended.length,
      ),
    )
    for (const wrong of after.wrong) {
      // A comma that is only offered is no doubt.
      const found = reading.diagnostics.some(
        (one) => one.code !== 'lost-comma' && one.from <= wrong.to && one.to >= wrong.from,
      )
      add(flagged, { right: found ? wrong.elements : 0, of: wrong.elements })
      if (SHOW && Number(process.env.SHOW) === s)
        console.log(
          found ? '  flagged:' : '  SILENT:',
          JSON.stringify(mended.slice(Math.max(0, wrong.from - 25), wrong.to + 25)),
          JSON.stringify(mended.slice(wrong.from, wrong.to)),
        )
    }
  }
  return { written, certain, best, flagged, fixes }
}

const CHANNELS: readonly (readonly [string, Channel])[] = [
  ['as dictated', DICTATION],
  ['no lost words', { ...DICTATION, lost: 0 }],
  ['slips 2 %, lost 0.2 %', { ...DICTATION, slips: 0.02, lost: 0.002 }],
  ['no slips, no lost words', { ...DICTATION, slips: 0, lost: 0 }],
]

export async function run(): Promise<void> {
  const rows = CHANNELS.slice(0, SHOW ? 1 : 4).map(([name, channel]) => {
    const result = measure(channel, ['numbers', 'numbers', 'numbers', 'numbers', 'words', 'side-first'])
    return {
      channel: name,
      elements: result.written.of,
      written: share(result.written),
      'certain fixes': share(result.certain),
      'best reading': share(result.best),
      'wrong flagged': `${share(result.flagged)} of ${result.flagged.of}`,
      'fixes right': `${share(result.fixes)} of ${result.fixes.of}`,
    }
  })
  console.table(rows)
  clean()
  if (SHOW) return
  speed()
  fuzz()
}

/** Clean text: every element right, and no certain fix. */
function clean(): void {
  const right: Sum = { right: 0, of: 0 }
  let certain = 0
  let doubtful = 0
  for (let s = 0; s < STAGES; s++) {
    const random = seededRandom(FIRST_SEED + s)
    const key = randomStage(random, 25, (['numbers', 'words', 'side-first'] as const)[s % 3]!)
    for (const digits of [true, false]) {
      const text = typed(key, digits)
      const parsed = parseNotes(text, { repair: true })
      const plainly = parseNotes(text, {})
      const result = score(
        key,
        plainly.notes.calls.flatMap((call) => call.elements),
        text.length,
      )
      add(right, result)
      if (SHOW)
        for (const wrong of result.wrong)
          console.log('  clean wrong:', JSON.stringify(text.slice(Math.max(0, wrong.from - 20), wrong.to + 20)))
      for (const one of parsed.diagnostics) {
        if (one.certain) {
          certain++
          if (SHOW)
            console.log(
              '  clean certain:',
              one.code,
              one.message,
              JSON.stringify(text.slice(Math.max(0, one.from - 20), one.to + 20)),
            )
        } else if (one.code !== 'lost-comma') doubtful++
      }
    }
  }
  console.log(
    `clean text, words and digits: ${right.of} elements, ${share(right)} right, ${certain} certain fixes, ${doubtful} doubtful places`,
  )
}

/** Times on new texts each run (nothing is kept from one to the next), a keystroke in 300 lines, and how time grows to 1 MB. */
function speed(): void {
  const stage = (seed: number, calls: number) => typed(randomStage(seededRandom(seed), calls), true)
  const rows: Record<string, unknown>[] = []
  for (const [what, calls, runs] of [
    ['300 calls', 300, 40],
    ['1,000 calls', 1000, 30],
    ['1 MB', 46_000, 2],
    ['2 MB', 92_000, 2],
  ] as const) {
    const texts = Array.from({ length: runs }, (_, i) => stage(calls + i, calls))
    for (const text of texts.slice(0, 10)) parseNotes(text)
    const from = process.cpuUsage()
    for (const text of texts) parseNotes(text)
    const used = process.cpuUsage(from)
    rows.push({
      what,
      characters: texts[0]!.length,
      'processor ms': ((used.user + used.system) / 1000 / runs).toFixed(2),
    })
  }
  const lines = stage(7, 300).replaceAll(', ', '\n').split('\n').slice(0, 300).join('\n')
  const from = process.cpuUsage()
  for (let i = 0; i < 100; i++) parseNotes(`${lines.slice(0, 50 + i * 20)}x${lines.slice(50 + i * 20)}`)
  const used = process.cpuUsage(from)
  rows.push({
    what: 'a keystroke in 300 lines',
    characters: lines.length,
    'processor ms': ((used.user + used.system) / 100_000).toFixed(2),
  })
  console.table(rows)
}

/** 100,000 texts of anything: no exception, every element in order and the very characters of its range; every tenth with repairs. */
function fuzz(): void {
  const random = seededRandom(2026)
  const forms = VOCABULARY.flatMap((row) => [...row.forms, ...(row.shorthand ?? [])])
  let elements = 0
  for (let i = 0; i < 100_000; i++) {
    const text = Array.from({ length: Math.floor(random() * 12) }, () => {
      const at = random()
      if (at < 0.6) return forms[Math.floor(random() * forms.length)]!
      if (at < 0.75) return String(Math.floor(random() * 500))
      return String.fromCharCode(
        ...Array.from({ length: 1 + Math.floor(random() * 4) }, () => Math.floor(random() * (at < 0.9 ? 128 : 65_536))),
      )
    }).join(random() < 0.8 ? ' ' : '')
    let end = 0
    for (const element of parseNotes(text, { repair: i % 10 === 0 }).notes.calls.flatMap((call) => call.elements)) {
      if (element.from < end || text.slice(element.from, element.to) !== element.text)
        throw new Error(`range of ${JSON.stringify(text)}`)
      end = element.to
      elements++
    }
  }
  console.log(`100,000 texts, ${elements} elements: no exception, ranges in order and inside the text`)
}
