import { ClipStore } from '../speech/clipStore.ts'
import { ENGINES } from '../speech/engines.ts'
import type { Streams } from './cli.ts'

/** The embedded voice over the clip folder, closed when the command is done. */
export async function openClips(streams: Streams): Promise<{ studio: ClipStore; close: () => Promise<void> }> {
  const engine = await ENGINES.embedded!()
  return { studio: new ClipStore(engine, streams.clips), close: () => engine.close() }
}
