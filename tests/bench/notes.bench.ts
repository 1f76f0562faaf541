import { parseNotes } from '../../server/notes/parseNotes.ts'
import { VOCABULARY } from '../../server/notes/vocabulary.ts'
import { seededRandom } from '../seededRandom.ts'
import { add, measure, type Sum, share } from './noise/measure.ts'
import { type Channel, DICTATION, typed } from './noise/noiseChannel.ts'
import { randomStage, type Style, type Vocabulary } from './noise/randomStage.ts'
import { score } from './noise/score.ts'

const STAGES = Number(process.env.STAGES ?? 50)
const FIRST_SEED = Number(process.env.SEED ?? 9000)
/** The stage whose wrong places are shown one by one. */
const SHOW = process.env.SHOW === undefined ? null : Number(process.env.SHOW)
const STYLES: readonly Style[] = ['numbers', 'numbers', 'numbers', 'numbers', 'words', 'side-first']

/** The channel the costs were set on, then the same made milder, harsher, and of another make. */
const CHANNELS: readonly (readonly [string, Channel, Vocabulary])[] = [
  ['slips 5 %, lost 0.5 %', DICTATION, 'all'],
  ['no lost words', { ...DICTATION, lost: 0 }, 'all'],
  ['slips 2 %, lost 0.2 %', { ...DICTATION, slips: 0.02, lost: 0.002 }, 'all'],
  ['no slips, no lost words', { ...DICTATION, slips: 0, lost: 0 }, 'all'],
  ['everyday words only', DICTATION, 'everyday'],
  ['slips by any one sound', { ...DICTATION, slipsBy: 'one sound' }, 'all'],
  ['same sound 10 %, no slips', { ...DICTATION, slips: 0, sameSound: 0.1 }, 'all'],
  ['merged 90 %, stuck 60 %, no commas', { ...DICTATION, merged: 0.9, stuck: 0.6, commas: 0, strayCommas: 0 }, 'all'],
]

export async function run(): Promise<void> {
  const rows = CHANNELS.slice(0, SHOW === null ? undefined : 1).map(([name, channel, vocabulary]) => {
    const result = measure({ channel, vocabulary, styles: STYLES, stages: STAGES, firstSeed: FIRST_SEED, show: SHOW })
    return {
      channel: name,
      elements: result.written.of,
      written: share(result.written),
      'certain fixes': share(result.certain),
      'best reading': share(result.best),
      'wrong flagged': `${share(result.flagged)} of ${result.flagged.of}`,
      'flags at wrong places': `${share(result.pointed)} of ${result.pointed.of}`,
      'fixes right': `${share(result.fixes)} of ${result.fixes.of}`,
      'by meaning': share(result.meant),
    }
  })
  console.table(rows)
  clean()
  if (SHOW !== null) return
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
      if (SHOW !== null)
        for (const wrong of result.wrong)
          console.log('  clean wrong:', JSON.stringify(text.slice(Math.max(0, wrong.from - 20), wrong.to + 20)))
      for (const one of parsed.diagnostics) {
        if (one.certain) {
          certain++
          if (SHOW !== null)
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

/** Words that every object has a thing of. */
const NAMES = ['constructor', 'toString', '__proto__', 'hasOwnProperty', 'valueOf']

/** 100,000 texts of anything: no exception, every element in order and the very characters of its range; every tenth with repairs. */
function fuzz(): void {
  const random = seededRandom(2026)
  const forms = VOCABULARY.flatMap((row) => [...row.forms, ...(row.shorthand ?? [])])
  let elements = 0
  for (let i = 0; i < 100_000; i++) {
    const text = Array.from({ length: Math.floor(random() * 12) }, () => {
      const at = random()
      if (at < 0.02) return NAMES[Math.floor(random() * NAMES.length)]!
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
