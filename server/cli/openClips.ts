import { join } from 'node:path'
import { ClipStore } from '../speech/clipStore.ts'
import { ENGINES } from '../speech/engines.ts'
import { VoiceFolder } from '../speech/voiceFolder.ts'
import { openVoices } from '../speech/voices.ts'
import type { Streams } from './cli.ts'

/** Every voice over the clip folder, with the crew's own beside it; closed when the command is done. */
export async function openClips(streams: Streams): Promise<{ studio: ClipStore; close: () => Promise<void> }> {
  const engine = openVoices(await ENGINES.embedded!(), new VoiceFolder(join(streams.clips, '..', 'voices')))
  return { studio: new ClipStore(engine, streams.clips), close: () => engine.close() }
}
