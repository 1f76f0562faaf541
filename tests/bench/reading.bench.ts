import { type HeardCall, hearTake, type LiveCall, LiveHearing } from '../../client/microphone/hearTake.ts'
import { melFramesOf } from '../../client/microphone/melFrames.ts'
import { surroundingsOf } from '../../client/microphone/surroundings.ts'
import type { Script } from '../../client/microphone/templates.ts'
import { openEmbeddedEngine } from '../../server/speech/embeddedEngine.ts'
import { emptyTally, judgeInPlace, overlap, quantile, type Tally } from '../reading/judge.ts'
import { planOfTake } from '../reading/planOfTake.ts'
import { hasProgram, READERS } from '../reading/readers.ts'
import { inCabin, RATE, type SyntheticTake, syntheticTake } from '../reading/syntheticTake.ts'
import { seededRandom } from '../seededRandom.ts'
import { cost } from './hearing/cost.ts'
import { noiseAlone } from './hearing/noiseAlone.ts'
import { wrongWords } from './hearing/wrongWords.ts'

/** Seed of the plan and, times 100, of the takes. Constants were set on seed 1; figures are of seed 2. */
const SEED = Number(process.env.SEED || 2)
const CALLS = 120
const NOISE: readonly (number | null)[] = process.env.SNRS
  ? process.env.SNRS.split(',').map((word) => (word === 'clean' ? null : Number(word)))
  : [null, 20, 10, 5, 0]
const LIVE: readonly (number | null)[] = [null, 10]
const CONFIDENCES = [0, 0.03, 0.05, 0.1]
/** A verdict this long after a call's end still counts as live. */
const LIVE_WITHIN = 0.25
/** The signal-to-noise ratios are of 300–3400 Hz over true speech. */

const percent = (part: number, whole: number) => (whole === 0 ? '–' : ((100 * part) / whole).toFixed(1))
const ms = (seconds: number) => Math.round(1000 * seconds)
const name = (snr: number | null) => (snr === null ? 'clean' : `${snr} dB`)

export async function run(): Promise<void> {
  const engine = openEmbeddedEngine()
  const { plan, script } = await planOfTake(CALLS, SEED, engine)
  const elsewhere = await planOfTake(CALLS, SEED + 50, engine)
  await engine.close()
  const only = (process.env.READERS || undefined)?.split(',')
  for (const program of ['espeak-ng', 'flite'] as const)
    if (!hasProgram(program)) console.log(`${program} is not on this machine: its readers are left out`)
  const readers = READERS.filter(
    (one) => one.name !== 'E0' && hasProgram(one.program) && (!only || only.includes(one.name)),
  )
  const takes = readers.map((reader, r) => ({
    reader,
    take: syntheticTake(plan, reader, seededRandom(SEED * 100 + r)),
  }))
  const touching = takes.flatMap(({ take }) =>
    take.spoken.slice(1).map((one, i) => one.from - take.spoken[i]!.to < 0.15),
  )
  console.log(
    `plan seed ${SEED}, takes ${SEED * 100}–${SEED * 100 + takes.length - 1}, noise 7000–; ${percent(touching.filter(Boolean).length, touching.length)} % of calls within 0.15 s of the one before\n`,
  )
  for (const snr of NOISE) {
    const all = emptyTally()
    const foreign = emptyTally()
    const gated = emptyTally()
    let spent = 0
    let over = 0
    const names: string[] = []
    for (const [r, { reader, take }] of takes.entries()) {
      const sound = noisy(take, snr, r)
      const one = emptyTally()
      const t = performance.now()
      const heard = hearTake(sound, script)
      spent += (performance.now() - t) / 1000 / (sound.length / RATE)
      over += heard.overFloor / takes.length
      for (const tally of [one, all, ...(['F1', 'F2', 'F3'].includes(reader.name) ? [foreign] : [])])
        judgeInPlace(tally, take, heard.calls, CALLS)
      judgeInPlace(
        gated,
        take,
        heard.calls.filter((call) => call.confidence >= 0),
        CALLS,
      )
      names.push(`${reader.name} ${percent(one.right, one.read)}`)
    }
    console.log(
      `${name(snr).padEnd(6)} ${matched(all)}; foreign ${percent(foreign.right, foreign.read)}; cost ${(spent / takes.length).toFixed(4)} of real time; over the floor ${over.toFixed(1)} dB`,
    )
    console.log(
      `       after the gate at 0: skipped precision ${percent(gated.leftOutRightly, gated.leftOut)} recall ${percent(gated.leftOutRightly, gated.skipped)}; kept/right by confidence ` +
        CONFIDENCES.map((limit) => {
          const kept = all.confidences.filter((c) => c.value >= limit)
          return `${limit}: ${percent(kept.length, all.confidences.length)}/${percent(kept.filter((c) => c.right).length, kept.length)}`
        }).join('  '),
    )
    console.log(`       ${names.join('  ')}`)
  }
  for (const snr of LIVE) live(takes, snr, script)
  if (process.env.EXTRAS !== '0') {
    cost(takes[0]!.take.sound, script)
    wrongWords(plan, script, readers, SEED)
    noiseAlone(plan, script, readers, SEED)
  }
  long(takes[0]!.take, script)
  for (const { reader, take } of takes.slice(0, 2).concat(takes.slice(-4, -2))) {
    const sureOf = (calls: readonly HeardCall[]) =>
      calls.filter((call) => call.kind === 'read' && call.confidence >= 0.1).length
    const here = hearTake(take.sound, script).calls
    const there = hearTake(take.sound, elsewhere.script).calls
    console.log(
      `another stage, ${reader.name}: ${there.length} claimed, ${sureOf(there)} sure; the right one: ${here.length} claimed, ${sureOf(here)} sure`,
    )
  }
}

function noisy(take: SyntheticTake, snr: number | null, r: number): Float32Array {
  return snr === null ? take.sound : inCabin(take, snr, seededRandom(7000 + r))
}

function matched(all: Tally): string {
  const starts = all.starts.map(Math.abs)
  const ends = all.ends.map(Math.abs)
  return (
    `right ${percent(all.right, all.read)} wrong ${percent(all.wrong, all.read)} of ${all.read}; start p50 ${ms(quantile(starts, 0.5))} p95 ${ms(quantile(starts, 0.95))} ms; ` +
    `end p50 ${ms(quantile(ends, 0.5))} p95 ${ms(quantile(ends, 0.95))} ms; skipped precision ${percent(all.leftOutRightly, all.leftOut)} recall ${percent(all.leftOutRightly, all.skipped)} of ${all.skipped}`
  )
}

/** Readings of a call; one begun again counts from its first attempt, too, as its score does. */
function startsOf(take: SyntheticTake, call: number): { from: number; to: number }[] {
  const said = take.spoken.filter((one) => one.call === call)
  const broken = said.find((one) => one.kind === 'broken off')
  const read = said.filter((one) => one.kind !== 'broken off')
  return broken && read[0] ? [...read, { from: broken.from, to: read[0].to }] : read
}

function live(takes: readonly { take: SyntheticTake }[], snr: number | null, script: Script): void {
  let [right, wrong, read, spent, seconds] = [0, 0, 0, 0, 0]
  const starts: number[] = []
  for (const [r, { take }] of takes.entries()) {
    const sound = noisy(take, snr, r)
    // What the set-up knows of this reader: how loud they speak, from ten seconds of the take's own voice.
    const { level } = surroundingsOf(melFramesOf(sound.subarray(0, 20 * RATE)))
    const told: LiveCall[] = []
    const t = performance.now()
    const hearing = new LiveHearing(script, level, (call) => told.push(call))
    for (let at = 0; at < sound.length; at += 341) hearing.push(sound.subarray(at, at + 341))
    spent += (performance.now() - t) / 1000
    seconds += sound.length / RATE
    for (let call = 0; call < CALLS; call++) {
      const truths = startsOf(take, call)
      const found = told.find((one) => one.call === call)
      if (truths.length > 0) read++
      if (!found || found.confidence < 0) continue
      // A call told before its end is judged by how far it was then.
      const truth = truths.find(
        (one) => overlap({ from: one.from, to: Math.min(one.to, Math.max(found.at, one.from + 0.1)) }, found) >= 0.5,
      )
      if (!truth) wrong++
      else if (found.at <= truth.to + LIVE_WITHIN) {
        right++
        starts.push(Math.abs(found.from - truth.from))
      }
    }
  }
  console.log(
    `live, ${name(snr)}: verdict within ${LIVE_WITHIN} s of the end ${percent(right, read)} right, ${percent(wrong, read)} wrong of ${read}; start p95 ${ms(quantile(starts, 0.95))} ms; cost ${(spent / seconds).toFixed(4)} of real time`,
  )
}

/** Twenty minutes through the live version: what it holds on to after two and after twenty. */
function long(take: SyntheticTake, script: Script): void {
  const hearing = new LiveHearing(script, script.level, () => {})
  const held = () => {
    const { heapUsed, arrayBuffers } = process.memoryUsage()
    return (heapUsed + arrayBuffers) / 1e6
  }
  let at = 0
  const minutes = (n: number) => {
    for (let left = n * 60 * RATE; left > 0; left -= 16_000, at = (at + 16_000) % (take.sound.length - 16_000))
      hearing.push(take.sound.subarray(at, at + 16_000))
    globalThis.gc?.()
    return held().toFixed(0)
  }
  console.log(`held after 2 minutes ${minutes(2)} MB, after 20 minutes ${minutes(18)} MB (the bench itself included)`)
}
