import { createRequire } from 'node:module'
import { type SpeechEngine, SpeechError, type SpeechRequest } from './speechEngine.ts'

/** On Linux the text reaches a Scheme interpreter unescaped, so nothing but these gets through: letters, digits, space, . , ' - */
const ALLOWED = /[^\p{L}\p{N} .,'-]+/gu
const MOST_LETTERS = 400

/** Text that is safe for any system voice: everything not on the list becomes a space. */
export function safeText(text: string): string {
  return text.normalize('NFC').replace(ALLOWED, ' ').replace(/\s+/g, ' ').trim().slice(0, MOST_LETTERS)
}

interface Say {
  speak(text: string, voice?: string, speed?: number, done?: (error?: string | Error | null) => void): void
}

/**
 * The system's own voices through `say`, live, on the host's loudspeaker. It makes no clips. `say.stop` is never called: it kills a process by guess.
 * A missing system voice is one clear SpeechError; the embedded voice goes on.
 */
export function openSystemEngine(load: () => Say = () => createRequire(import.meta.url)('say')): SpeechEngine {
  return {
    name: 'system',
    makesClips: false,
    voices: async () => [{ id: 'system', name: "the system's own voice", language: '' }],
    async speak() {
      throw new SpeechError("The system's voice speaks live only; choose the embedded voice for files.")
    },
    async sayNow(request: SpeechRequest) {
      const text = safeText(request.words.join(' '))
      if (text === '') throw new SpeechError('Nothing in this call can be spoken.')
      const speed = Number.isFinite(request.rate) ? Math.min(2, Math.max(0.5, request.rate / 175)) : 1
      await new Promise<void>((resolve, reject) => {
        load().speak(text, undefined, speed, (error) => {
          if (error)
            reject(
              new SpeechError(
                `This machine has no working system voice (${String((error as Error).message ?? error)
                  .slice(0, 120)
                  .trim()}); install one, or use the embedded voice.`,
              ),
            )
          else resolve()
        })
      })
    },
    async close() {},
  }
}
