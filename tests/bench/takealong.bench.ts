import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { openEmbeddedEngine } from '../../server/speech/embeddedEngine.ts'
import { renderRun } from '../../server/speech/renderRun.ts'
import { writeSoundFile } from '../../server/speech/soundFile.ts'

const MINUTES = 30
const CALLS = 450

/** Half an hour of calls, speaking included: render, level, MP3. */
async function longStage(folder: string): Promise<void> {
  const engine = openEmbeddedEngine()
  await engine.speak({ words: ['ready'], voice: 'en', rate: 200, pitch: 50 })
  const words = ['caution', 'three', 'right', 'tightens', 'over', 'crest', 'into', 'one', 'thirty']
  const begun = performance.now()
  const calls = []
  for (let i = 0; i < CALLS; i++) {
    const said = words.slice(i % 4, 4 + (i % 6))
    const clip = await engine.speak({ words: said, voice: 'en', rate: 200, pitch: 50 })
    calls.push({ start: (i * MINUTES * 60) / CALLS, clip })
  }
  const spoken = performance.now()
  const sound = renderRun(calls, { until: MINUTES * 60 })
  await writeSoundFile(join(folder, 'stage.mp3'), sound, {
    format: 'mp3',
    tags: { title: 'bench', album: 'bench', comment: '', chapters: [] },
  })
  const done = performance.now()
  const times = (ms: number) => `${(ms / 1000).toFixed(1)} s, ${((MINUTES * 60_000) / ms).toFixed(0)} times real time`
  console.log(`${MINUTES} min stage, ${CALLS} calls to MP3: speaking ${times(spoken - begun)}`)
  console.log(`  laying, levelling, coding ${times(done - spoken)}; all ${times(done - begun)}`)
  await engine.close()
}

export async function run(): Promise<void> {
  const folder = await mkdtemp(join(tmpdir(), 'takealong-bench-'))
  await longStage(folder)
  await rm(folder, { recursive: true })
}
