import { openExternalEngine } from './externalEngine.ts'
import { openOwnEngine } from './ownEngine.ts'
import { type SpeechEngine, SpeechError } from './speechEngine.ts'
import type { VoiceFolder } from './voiceFolder.ts'

/**
 * Every voice behind one engine, by the voice a request names: `own:VOICE` is the crew's recordings with that embedded voice standing in, `external:ID` a
 * program of voices/external.json; any other is the embedded engine's. Clips of the crew's own voice are named by their recordings too.
 */
export function openVoices(embedded: SpeechEngine, folder: VoiceFolder): SpeechEngine {
  const external = new Map<string, { command: string; engine: SpeechEngine }>()
  function engineOf(voice: string): SpeechEngine {
    if (voice.startsWith('own:')) return openOwnEngine(folder, embedded, voice.slice(4))
    if (!voice.startsWith('external:')) return embedded
    const id = voice.slice(9)
    const known = folder.external().find((one) => one.id === id)
    if (!known) throw new SpeechError(`There is no external voice "${id}"; name it in voices/external.json.`)
    const command = JSON.stringify(known.command)
    const open = external.get(id)
    if (open?.command === command) return open.engine
    const engine = openExternalEngine(known)
    external.set(id, { command, engine })
    return engine
  }
  return {
    name: embedded.name,
    makesClips: true,
    voices: () => embedded.voices(),
    identity(voice) {
      if (voice.startsWith('own:')) return folder.revision()
      if (!voice.startsWith('external:')) return ''
      return JSON.stringify(folder.external().find((one) => one.id === voice.slice(9))?.command ?? '')
    },
    speak: async (request) => engineOf(request.voice).speak(request),
    close: () => embedded.close(),
  }
}
