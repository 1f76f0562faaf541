import { spawnSync } from 'node:child_process'
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { syllable } from 'syllable'
import { ClipStore } from '../../server/speech/clipStore.ts'
import { openEmbeddedEngine } from '../../server/speech/embeddedEngine.ts'
import { writeEncoded } from '../../server/speech/encode.ts'
import { estimateDuration } from '../../server/speech/estimateDuration.ts'
import { normalise } from '../../server/speech/loudness.ts'
import { phrase } from '../../server/speech/phrase.ts'
import { seededRandom } from '../seededRandom.ts'

const PARTS = [
  'six left',
  'three right',
  'five plus',
  "don't cut",
  'over crest',
  'long',
  'tightens 2',
  'into',
  'caution',
  'hairpin left',
  'square right',
  '130',
  '60',
  '200',
  'opens',
  'bumps',
  'keep in',
  'jump maybe',
]

/** Calls of three to six parts, the same on every machine. */
function calls(count: number): string[][] {
  const random = seededRandom(11)
  const pick = () => PARTS[Math.floor(random() * PARTS.length)]!
  return Array.from({ length: count }, () =>
    phrase(Array.from({ length: 3 + Math.floor(random() * 4) }, pick).join(' ')),
  )
}

/** Least squares of seconds on [1, syllables, words] by the normal equations. */
function leastSquares(rows: readonly (readonly number[])[], seconds: readonly number[]): number[] {
  const m = [0, 1, 2].map((i) => [
    ...[0, 1, 2].map((j) => rows.reduce((sum, row) => sum + row[i]! * row[j]!, 0)),
    rows.reduce((sum, row, k) => sum + row[i]! * seconds[k]!, 0),
  ])
  for (let i = 0; i < 3; i++)
    for (let r = 0; r < 3; r++)
      if (r !== i) {
        const factor = m[r]![i]! / m[i]![i]!
        for (let c = i; c < 4; c++) m[r]![c]! -= factor * m[i]![c]!
      }
  return m.map((row, i) => row[3]! / row[i]!)
}

export async function run(): Promise<void> {
  const texts = calls(600)
  const engine = openEmbeddedEngine()
  await engine.speak({ words: ['ready'], voice: 'en', rate: 200, pitch: 50 })
  const folder = await mkdtemp(join(tmpdir(), 'speech-bench-'))
  let at = performance.now()
  const store = new ClipStore(engine, join(folder, 'clips'))
  const made = await store.speakAll(texts.map((words) => ({ words, voice: 'en', rate: 200, pitch: 50 })))
  const ours = (performance.now() - at) / 1000
  const lengths = made.map(({ clip }) => clip.samples.length / clip.sampleRate)
  at = performance.now()
  await store.speakAll(texts.map((words) => ({ words, voice: 'en', rate: 200, pitch: 50 })))
  const again = performance.now() - at
  await engine.close()
  console.log(
    `600 calls, embedded voice, clips measured and kept: ${ours.toFixed(2)} s for ${lengths.reduce((a, b) => a + b, 0).toFixed(0)} s of speech; asked again ${again.toFixed(0)} ms`,
  )
  at = performance.now()
  // One process, one line a call: one long sound, its start-up counted once. Nobody gets clips that way, but it is the hardest peer.
  const whole = spawnSync('espeak-ng', ['-v', 'en', '-s', '200', '-w', join(folder, 'native.wav')], {
    input: texts.map((words) => words.join(' ')).join('.\n'),
  })
  const joined = (performance.now() - at) / 1000
  at = performance.now()
  for (const words of texts)
    spawnSync('espeak-ng', ['-v', 'en', '-s', '200', '-w', join(folder, 'native.wav'), words.join(' ')])
  const each = (performance.now() - at) / 1000
  if (whole.status === 0)
    console.log(
      `native espeak-ng, same text: a clip a call ${each.toFixed(2)} s, speed against it ${(each / ours).toFixed(2)}; all in one sound ${joined.toFixed(2)} s, speed against it ${(joined / ours).toFixed(2)}`,
    )
  else console.log('native espeak-ng is not on this machine; no comparison')

  const rows = texts.map((words) => [
    1,
    words.reduce((sum, word) => sum + Math.max(1, syllable(word)), 0),
    words.length,
  ])
  const [a, b, c] = leastSquares(rows.slice(0, 300), lengths.slice(0, 300))
  console.log(`estimate fitted on the first 300: a ${a!.toFixed(4)} b ${b!.toFixed(4)} c ${c!.toFixed(4)}`)
  const errors = (estimate: (i: number) => number) => {
    const sorted = lengths
      .map((length, i) => Math.abs(estimate(i) - length))
      .slice(300)
      .sort((x, y) => x - y)
    return `p50 ${sorted[150]!.toFixed(3)} s, p95 ${sorted[285]!.toFixed(3)} s`
  }
  console.log(
    `error on the other 300: fitted now ${errors((i) => a! + b! * rows[i]![1]! + c! * rows[i]![2]!)}; as kept ${errors((i) => estimateDuration(texts[i]!, 200))}`,
  )

  const minutes = 30
  const samples = Int16Array.from(
    { length: 22050 * 60 * minutes },
    (_, i) => 9000 * Math.sin(i / 8) * Math.sin(i / 3000),
  )
  at = performance.now()
  const level = normalise(samples, 22050)
  const levelled = (performance.now() - at) / 1000
  at = performance.now()
  await writeEncoded(join(folder, 'run.mp3'), { sampleRate: 22050, samples: level }, 'mp3')
  const encoded = (performance.now() - at) / 1000
  console.log(
    `${minutes} min: level ${levelled.toFixed(1)} s, MP3 ${encoded.toFixed(1)} s, ${((minutes * 60) / encoded).toFixed(0)} times real time`,
  )
  await rm(folder, { recursive: true })
}
