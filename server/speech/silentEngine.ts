import { type SpeechEngine, SpeechError } from './speechEngine.ts'

const SAMPLE_RATE = 8000
/** Seconds a letter: about the embedded voice's at 200 words a minute, so that plans look alike. */
const PER_LETTER = 0.06
const PER_WORD = 0.04

/** No sound, fixed lengths: for tests and for machines on which no voice works. */
export function openSilentEngine(): SpeechEngine {
  return {
    name: 'silent',
    makesClips: true,
    voices: async () => [{ id: 'silent', name: 'no sound', language: '' }],
    async speak(request) {
      if (request.words.length === 0) throw new SpeechError('A call without words cannot be spoken.')
      const scale = 200 / request.rate
      let end = 0
      const wordEnds = request.words.map((word) => (end += (word.length * PER_LETTER + PER_WORD) * scale))
      const samples = new Int16Array(Math.round(end * SAMPLE_RATE))
      wordEnds[wordEnds.length - 1] = samples.length / SAMPLE_RATE
      return { sampleRate: SAMPLE_RATE, samples, wordEnds, timing: 'estimated' }
    },
    async close() {},
  }
}
