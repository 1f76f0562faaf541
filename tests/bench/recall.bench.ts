import { readFileSync } from 'node:fs'
import { resample } from '../../client/microphone/resample.ts'
import { scriptOf, templateOf } from '../../client/microphone/templates.ts'
import { RIGHT, recallMargin, WRONG } from '../../client/rehearsal/memory/recallJudge.ts'
import { callMarks } from '../../server/drill/callMark.ts'
import { parseNotes } from '../../server/notes/parseNotes.ts'
import { openEmbeddedEngine } from '../../server/speech/embeddedEngine.ts'
import { READERS, readWords } from '../reading/readers.ts'
import { seededRandom } from '../seededRandom.ts'

const RATE = 16_000
const TRIALS = Number(process.env.SAY_WHEN_SEEDS ?? 40)
/** Where the call was told is off by up to a tenth of its length at either end. */
const TOLD = 0.1
const VOICES = ['E1', 'E2', 'E3', 'F1', 'F2', 'F3', 'F4']

interface Tally {
  right: number
  unsure: number
  wrong: number
}

/** Calls of Tarn Hollow said by other voices in a quiet room: the call due, any other, and the one most like it. Needs espeak-ng and flite. */
export async function run(): Promise<void> {
  const { notes } = parseNotes(readFileSync('routes-demo/tarn-hollow/notes.txt', 'utf8'))
  const meanings = callMarks(notes).map((mark) => mark.key)
  const texts = notes.calls.map((call) => call.text.replace(/[^\w\s]/g, ' '))
  const engine = openEmbeddedEngine()
  const templates = []
  for (const [i, text] of texts.entries()) {
    const { samples, sampleRate } = await engine.speak({ words: text.split(/\s+/), voice: 'en', rate: 200, pitch: 50 })
    const sound = Float32Array.from(samples, (v) => v / 32768)
    templates.push(templateOf(i, resample(sound, sampleRate, RATE), []))
  }
  await engine.close()
  const script = scriptOf(
    templates,
    templates.map(() => 0),
  )
  const random = seededRandom(3)
  const any = (count: number) => Math.floor(random() * count)
  const table: Record<string, Record<string, string>> = {}
  for (const reader of READERS.filter((one) => VOICES.includes(one.name))) {
    const tallies = { 'call due': none(), 'another call': none(), 'the likest other': none() }
    for (let trial = 0; trial < TRIALS; trial++) {
      const said = any(texts.length)
      const spoken = readWords(reader, texts[said]!, 1.1)
      const sound = Float32Array.from({ length: 3 * RATE + spoken.length }, () => (random() - 0.5) * 0.004)
      const peak = spoken.reduce((most, v) => Math.max(most, Math.abs(v)), 1e-9)
      for (let i = 0; i < spoken.length; i++) sound[RATE + i]! += (0.45 * spoken[i]!) / peak
      const length = spoken.length / RATE
      const off = () => (2 * random() - 1) * TOLD * length
      const told = { sound, from: 1 + off(), to: 1 + length + off() }
      const others = texts.map((_, i) => i).filter((i) => meanings[i] !== meanings[said])
      const likest = others.reduce((a, b) =>
        alike(meanings[b]!, meanings[said]!) > alike(meanings[a]!, meanings[said]!) ? b : a,
      )
      count(tallies['call due'], recallMargin({ ...told, due: said }, script, meanings))
      count(tallies['another call'], recallMargin({ ...told, due: others[any(others.length)]! }, script, meanings))
      count(tallies['the likest other'], recallMargin({ ...told, due: likest }, script, meanings))
    }
    table[reader.name] = Object.fromEntries(
      Object.entries(tallies).map(([due, { right, unsure, wrong }]) => [due, `${right} / ${unsure} / ${wrong}`]),
    )
  }
  console.log(`${TRIALS} calls a voice: judged right / unsure / wrong when what was due is …`)
  console.table(table)
}

const none = (): Tally => ({ right: 0, unsure: 0, wrong: 0 })

function count(tally: Tally, margin: number): void {
  if (margin > RIGHT) tally.right++
  else if (margin < WRONG) tally.wrong++
  else tally.unsure++
}

/** Share of words in common. */
function alike(a: string, b: string): number {
  const [words, others] = [a.split(' '), b.split(' ')]
  return words.filter((word) => others.includes(word)).length / Math.max(words.length, others.length)
}
