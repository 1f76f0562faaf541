import type { SpeechEngine } from './speechEngine.ts'

/** From name to engine, loaded when asked for. Nothing else chooses by name. */
export const ENGINES: Readonly<Record<string, () => Promise<SpeechEngine>>> = {
  embedded: async () => (await import('./embeddedEngine.ts')).openEmbeddedEngine(),
  system: async () => (await import('./systemEngine.ts')).openSystemEngine(),
  silent: async () => (await import('./silentEngine.ts')).openSilentEngine(),
}
