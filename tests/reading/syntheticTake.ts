import { cabinNoise } from '../../client/microphone/cabin.ts'
import { seededNormal } from '../seededRandom.ts'
import { type Reader, readWords } from './readers.ts'

export const RATE = 16_000

export interface PlanOfCall {
  readonly words: readonly string[]
  /** Seconds on the take's clock. */
  readonly start: number
}

/** What was really said, and when: the labels are known because they were put there. */
export interface Spoken {
  readonly call: number
  readonly from: number
  readonly to: number
  readonly kind: 'read' | 'again' | 'broken off'
  /** What was said in place of the call's own words. */
  readonly instead?: string
}

export interface SyntheticTake {
  readonly sound: Float32Array
  readonly spoken: readonly Spoken[]
  readonly skipped: readonly number[]
  readonly noises: readonly { readonly kind: string; readonly from: number; readonly to: number }[]
}

export interface Habits {
  /** Spread of starts, seconds; share of calls left out, said twice, broken off and begun again, with a pause inside; words between calls. */
  readonly jitter: number
  readonly drift: number
  readonly skip: number
  readonly again: number
  readonly brokenOff: number
  readonly pause: number
  readonly fillers: number
  readonly noises: boolean
  /** Share of calls read with another grade or side. */
  readonly wrongWord: number
  /** Stretches, seconds on the take's clock, in which the reader says nothing at all. */
  readonly silent: readonly { readonly from: number; readonly to: number }[]
}

export const USUAL: Habits = {
  jitter: 0.4,
  drift: 0.06,
  skip: 0.05,
  again: 0.03,
  brokenOff: 0.03,
  pause: 0.3,
  fillers: 0.04,
  noises: true,
  wrongWord: 0,
  silent: [],
}

const WRONG = ['one', 'two', 'three', 'four', 'five', 'six']

/**
 * A take of a plan by a reader: late and early by a slow drift and a normal deviate, pushed by the call before, some calls left out, said twice, broken
 * off, paused inside; breaths, coughs, clicks and rustling between. At 16 kHz, speech peaks near 0.5.
 */
export function syntheticTake(
  plan: readonly PlanOfCall[],
  reader: Reader,
  random: () => number,
  habits: Habits = USUAL,
): SyntheticTake {
  const sound = new Float32Array(Math.ceil((plan.at(-1)!.start + 12) * RATE))
  const spoken: Spoken[] = []
  const skipped: number[] = []
  const noises: { kind: string; from: number; to: number }[] = []
  let drift = 0
  let pace = 0
  let free = 0
  const say = (words: readonly string[], at: number): { from: number; to: number } => {
    const quicker = 1 + Math.max(-0.18, Math.min(0.18, pace + 0.06 * seededNormal(random)))
    const level = 10 ** ((2 * seededNormal(random)) / 20)
    const pitch = 50 + 6 * seededNormal(random)
    const parts = [words]
    if (words.length > 2 && random() < habits.pause) {
      const cut = 1 + Math.floor(random() * (words.length - 1))
      parts.splice(0, 1, words.slice(0, cut), words.slice(cut))
    }
    const from = Math.round(at * RATE)
    let end = from
    for (const [p, part] of parts.entries()) {
      if (p > 0) end += Math.round(0.25 * random() * RATE)
      const clip = readWords(reader, part.join(' '), Math.round(quicker * 25) / 25, Math.round(pitch / 5) * 5)
      lay(sound, clip, end, 0.5 * level)
      end += clip.length
    }
    return { from: from / RATE, to: end / RATE }
  }
  for (const [i, { words, start }] of plan.entries()) {
    drift = 0.98 * drift + habits.drift * seededNormal(random)
    pace = 0.97 * pace + 0.008 * seededNormal(random)
    const wanted = start + drift + habits.jitter * seededNormal(random)
    const roll = random()
    if (roll < habits.skip || habits.silent.some((one) => start >= one.from && start < one.to)) {
      skipped.push(i)
      continue
    }
    let at = Math.max(0.3, wanted, free + (random() < 0.6 ? 0.05 * random() : 0.05 + 0.1 * random()))
    if (at - free > 1.6 && random() < habits.fillers * 4) {
      const filler = say([random() < 0.5 ? 'erm' : 'okay'], free + 0.5)
      noises.push({ kind: 'filler', ...filler })
      at = Math.max(at, filler.to + 0.15)
    }
    if (roll < habits.skip + habits.brokenOff && words.length > 3) {
      const grade = words.findIndex((word) => WRONG.includes(word))
      const wrong = words.slice(0, Math.min(words.length - 1, 2 + Math.floor(random() * 2)))
      if (grade >= 0 && grade < wrong.length) wrong[grade] = WRONG[(WRONG.indexOf(words[grade]!) + 2) % 6]!
      const first = say(wrong, at)
      spoken.push({ call: i, ...first, kind: 'broken off' })
      at = first.to + 0.1 + 0.2 * random()
    }
    const instead = habits.wrongWord > 0 && random() < habits.wrongWord ? mistaken(words, random) : null
    const read = say(instead ?? words, at)
    spoken.push({ call: i, ...read, kind: 'read', ...(instead ? { instead: instead.join(' ') } : {}) })
    free = read.to
    if (roll > 1 - habits.again) {
      const again = say(words, free + 0.15 + 0.3 * random())
      spoken.push({ call: i, ...again, kind: 'again' })
      free = again.to
    }
  }
  if (habits.noises) addNoises(sound, spoken, noises, random)
  return { sound, spoken, skipped, noises }
}

/** The words with another side, or another grade beside it. */
function mistaken(words: readonly string[], random: () => number): string[] {
  const said = [...words]
  const side = words.findIndex((word) => word === 'left' || word === 'right')
  const grade = WRONG.indexOf(words[side - 1] ?? '')
  if (grade >= 0 && random() < 0.7) said[side - 1] = WRONG[(grade + 1 + Math.floor(random() * 5)) % 6]!
  else said[side] = words[side] === 'left' ? 'right' : 'left'
  return said
}

function lay(into: Float32Array, clip: Float32Array, at: number, peak: number): void {
  let loudest = 1e-9
  for (const v of clip) loudest = Math.max(loudest, Math.abs(v))
  const gain = peak / loudest
  for (let i = 0; i < clip.length && at + i < into.length; i++) into[at + i]! += clip[i]! * gain
}

/** Breaths before calls (−25 to −32 dB), and four coughs, rustles and clicks a minute in the gaps. */
function addNoises(
  sound: Float32Array,
  spoken: readonly Spoken[],
  noises: { kind: string; from: number; to: number }[],
  random: () => number,
): void {
  for (const [i, one] of spoken.entries()) {
    const before = i > 0 ? spoken[i - 1]!.to : 0
    const gap = one.from - before
    if (gap > 0.7 && random() < 0.5)
      shaped('breath', one.from - 0.45, 0.35, 0.5 * 10 ** (-(25 + 7 * random()) / 20), 0.5)
    if (gap > 1.4 && random() < 0.12) shaped('cough', before + 0.35, 0.25, 0.35, 0.05)
    if (gap > 1.4 && random() < 0.15) shaped('rustle', before + 0.3, 0.4, 0.03, 0.5)
    if (gap > 0.6 && random() < 0.3) shaped('click', before + 0.25, 0.004, 0.3, 0.01)
  }
  function shaped(kind: string, from: number, seconds: number, level: number, attack: number): void {
    const first = Math.round(from * RATE)
    const length = Math.round(seconds * RATE)
    let smooth = 0
    for (let k = 0; k < length && first + k < sound.length; k++) {
      const at = k / length
      const envelope = Math.min(1, at / attack) * (1 - at)
      smooth += 0.5 * (2 * random() - 1 - smooth)
      if (first + k >= 0) sound[first + k]! += level * envelope * smooth * 2
    }
    noises.push({ kind, from, to: from + seconds })
  }
}

/** In-band (300–3400 Hz) mean power of a stretch: the signal-to-noise ratio of docs/method/reading.md. */
export function bandPower(sound: Float32Array, inside: (seconds: number) => boolean): number {
  let [sum, count] = [0, 0]
  let [h1, h2, l1, l2] = [0, 0, 0, 0]
  // One-pole pairs: good to half a decibel against a brick wall on speech-like spectra.
  const high = Math.exp((-2 * Math.PI * 300) / RATE)
  const low = 1 - Math.exp((-2 * Math.PI * 3400) / RATE)
  let before = 0
  let beforeHigh = 0
  for (let i = 0; i < sound.length; i++) {
    h1 = high * (h1 + sound[i]! - before)
    before = sound[i]!
    h2 = high * (h2 + h1 - beforeHigh)
    beforeHigh = h1
    l1 += low * (h2 - l1)
    l2 += low * (l1 - l2)
    if (inside(i / RATE)) {
      sum += l2 * l2
      count++
    }
  }
  return count > 0 ? sum / count : 0
}

/** The take in a cabin: noise so loud that speech stands `snr` dB over it between 300 and 3400 Hz. */
export function inCabin(take: SyntheticTake, snr: number, random: () => number): Float32Array {
  const noise = cabinNoise(take.sound.length / RATE, RATE, random)
  let one = 0
  const speaking = (t: number) => {
    while (one + 1 < take.spoken.length && take.spoken[one]!.to <= t) one++
    return t >= take.spoken[one]!.from && t < take.spoken[one]!.to
  }
  const gain = Math.sqrt(bandPower(take.sound, speaking) / bandPower(noise, () => true)) * 10 ** (-snr / 20)
  return take.sound.map((v, i) => v + gain * noise[i]!)
}
