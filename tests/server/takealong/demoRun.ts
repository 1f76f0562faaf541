import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import { prepareStage } from '../../../server/rehearsal/prepareStage.ts'
import type { Rehearsal, RunSettings } from '../../../server/rehearsal/stage.ts'
import { voiceRun } from '../../../server/rehearsal/voiceRun.ts'
import type { SpeechEngine, SpeechRequest, SpokenClip } from '../../../server/speech/speechEngine.ts'

const demos = fileURLToPath(new URL('../../../routes-demo/', import.meta.url))

/** A demo stage at its own target, said by `engine`, with its clips kept in memory. */
export async function demoRun(
  name: string,
  engine: SpeechEngine,
  change: Partial<RunSettings> = {},
): Promise<{ rehearsal: Rehearsal; clipOf: (hash: string) => Promise<SpokenClip | null> }> {
  const folder = join(demos, name)
  const settings = JSON.parse(readFileSync(join(folder, 'stage.json'), 'utf8'))
  const route = readdirSync(folder).find((file) => file.startsWith('route.'))
  const stage = prepareStage({
    title: settings.title,
    notes: readFileSync(join(folder, 'notes.txt'), 'utf8'),
    route: route === undefined ? null : { name: route, bytes: readFileSync(join(folder, route)) },
    anchors: [],
    settings,
  })
  const clips = new Map<string, SpokenClip>()
  const source = {
    speakAll: (requests: readonly SpeechRequest[]) =>
      Promise.all(
        requests.map(async (request) => {
          const hash = request.words.join(' ')
          const clip = clips.get(hash) ?? (await engine.speak(request))
          clips.set(hash, clip)
          return { hash, clip }
        }),
      ),
  }
  const run: RunSettings = {
    target: settings.target,
    wording: 'standard',
    surface: settings.surface,
    car: settings.car,
    voice: 'en',
    rate: 200,
    pitch: 50,
    calls: DEFAULT_CALL_SETTINGS,
    from: 0,
    to: Number.POSITIVE_INFINITY,
    pins: [],
    ...change,
  }
  return { rehearsal: await voiceRun(stage, run, source), clipOf: async (hash) => clips.get(hash) ?? null }
}
