import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { openBundle } from '../../server/library/openBundle.ts'
import { writeBundle } from '../../server/library/writeBundle.ts'
import { alignWords } from '../../server/speech/alignWords.ts'
import { openEmbeddedEngine } from '../../server/speech/embeddedEngine.ts'
import { renderRun } from '../../server/speech/renderRun.ts'
import { openSilentEngine } from '../../server/speech/silentEngine.ts'
import { writeSoundFile } from '../../server/speech/soundFile.ts'
import { notebookHtml } from '../../server/takealong/notebook/notebookHtml.ts'
import { findBrowser, printPdf } from '../../server/takealong/notebook/printPdf.ts'
import { seededRandom } from '../seededRandom.ts'
import { demoRun } from '../server/takealong/demoRun.ts'

const MINUTES = 30
const CALLS = 450

/** Half an hour of calls, speaking included: render, level, MP3. */
async function longStage(folder: string): Promise<void> {
  const engine = openEmbeddedEngine()
  await engine.speak({ words: ['ready'], voice: 'en', rate: 200, pitch: 50 })
  const words = ['caution', 'three', 'right', 'tightens', 'over', 'crest', 'into', 'one', 'thirty']
  const cpu = process.cpuUsage()
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
  const used = process.cpuUsage(cpu)
  const times = (ms: number) => `${(ms / 1000).toFixed(1)} s, ${((MINUTES * 60_000) / ms).toFixed(0)} times real time`
  console.log(`${MINUTES} min stage, ${CALLS} calls to MP3: speaking ${times(spoken - begun)}`)
  console.log(`  laying, levelling, coding ${times(done - spoken)}; all ${times(done - begun)}`)
  console.log(`  processor time of all of it: ${times((used.user + used.system) / 1000)}`)
  await engine.close()
}

/** 50 MB of takes as a zip and back, with the most memory it took above what was there. */
async function bigBundle(folder: string): Promise<void> {
  const stage = join(folder, 'stage')
  await mkdir(join(stage, 'takes'), { recursive: true })
  await writeFile(join(stage, 'notes.txt'), '6 left')
  const random = seededRandom(2)
  for (let k = 0; k < 5; k++) {
    const sound = new Uint8Array(10 * 1024 * 1024)
    for (let i = 0; i < sound.length; i++) sound[i] = random() * 256
    await writeFile(join(stage, 'takes', `${k}-a.wav`), sound)
  }
  global.gc?.()
  const before = process.memoryUsage().rss
  let most = before
  const watch = setInterval(() => {
    most = Math.max(most, process.memoryUsage().rss)
  }, 5)
  const begun = performance.now()
  await writeFile(join(folder, 'stage.zip'), writeBundle(stage, { takes: true, madeAt: 1_900_000_000 }))
  const written = performance.now()
  await openBundle(join(folder, 'stage.zip'), join(folder, 'opened'))
  const opened = performance.now()
  clearInterval(watch)
  console.log(
    `50 MB bundle: written in ${((written - begun) / 1000).toFixed(2)} s, opened in ${((opened - written) / 1000).toFixed(2)} s, ${((most - before) / 1e6).toFixed(0)} MB of memory more at most`,
  )
}

/** The demo's notebook at 12 pages or more, as HTML and as PDF. */
async function notebook(folder: string): Promise<void> {
  const { rehearsal } = await demoRun('tarn-hollow', openSilentEngine())
  const begun = performance.now()
  const paper = { name: 'A5', landscape: true, type: 15, lines: null } as const
  const { html, pages } = notebookHtml(rehearsal, paper, { units: 'metric', words: 'typed' })
  const laid = performance.now()
  console.log(`notebook of ${pages.length} pages: HTML ${(laid - begun).toFixed(0)} ms`)
  if (findBrowser() === null) return
  await printPdf(html, join(folder, 'notebook.pdf'))
  console.log(`  PDF, starting the browser included: ${((performance.now() - laid) / 1000).toFixed(2)} s`)
}

/** Estimated word ends against those the embedded engine tells, on 120 calls. */
async function wordEnds(): Promise<void> {
  const engine = openEmbeddedEngine()
  const random = seededRandom(8)
  const parts = [
    'six left',
    'three right',
    'over crest',
    'long',
    'into',
    'caution',
    'tightens',
    "don't cut",
    'one thirty',
  ]
  const errors: number[] = []
  for (let k = 0; k < 120; k++) {
    const words = Array.from({ length: 3 }, () => parts[Math.floor(random() * parts.length)]!)
      .join(' ')
      .split(' ')
    const clip = await engine.speak({ words, voice: 'en', rate: 200, pitch: 50 })
    const ends = alignWords(words, clip).slice(0, -1)
    errors.push(...ends.map((end, w) => Math.abs(end - clip.wordEnds[w]!)))
  }
  await engine.close()
  errors.sort((a, b) => a - b)
  const at = (share: number) => (errors[Math.floor(errors.length * share)]! * 1000).toFixed(0)
  console.log(`estimated word ends, ${errors.length} of them: error p50 ${at(0.5)} ms, p95 ${at(0.95)} ms`)
}

export async function run(): Promise<void> {
  const folder = await mkdtemp(join(tmpdir(), 'takealong-bench-'))
  await notebook(folder)
  await bigBundle(folder)
  await wordEnds()
  await longStage(folder)
  await rm(folder, { recursive: true })
}
