import { randomUUID } from 'node:crypto'
import { open, rename, rm } from 'node:fs/promises'
import { prepareStage } from '../rehearsal/prepareStage.ts'
import { cuesOfRun, soundOfRun } from '../rehearsal/soundOfRun.ts'
import { voiceRun } from '../rehearsal/voiceRun.ts'
import { writeVtt } from '../speech/cues.ts'
import { writeWav } from '../speech/wav.ts'
import type { Streams } from './cli.ts'
import { openClips } from './openClips.ts'
import { InputFault, readStage } from './readStage.ts'
import { CallFault, readNumber } from './readTarget.ts'
import { type RunOptions, runCommand, runSettings } from './stageOptions.ts'

/** `speak`: the whole run as one sound file, stage timing kept, with captions beside it. */
export function speakCommand(streams: Streams) {
  return runCommand('speak', 'write the whole run as sound')
    .option('--out <file>', 'the sound file: name.wav')
    .option('--cues <file>', 'captions of the run: name.vtt')
    .option('--offset <seconds>', 'captions this much later', '0')
    .action(
      async (folder: string | undefined, options: RunOptions & { out?: string; cues?: string; offset: string }) => {
        if (!options.out) throw new CallFault('speak needs --out FILE.wav.')
        if (!/\.wav$/i.test(options.out)) throw new CallFault(`--out "${options.out}": sound is written as .wav.`)
        const offset = readNumber(options.offset, '--offset', 0, 86_400)
        const disk = readStage(folder, options)
        const run = runSettings(disk, options)
        const stage = prepareStage(disk.stage)
        const clips = await openClips(streams)
        try {
          const rehearsal = await voiceRun(stage, run, clips.studio, (done, total) => {
            if (done % 20 === 0 || done === total)
              streams.err(`\rspeaking ${done} of ${total} calls${done === total ? '\n' : ''}`)
          })
          const sound = await soundOfRun(rehearsal, (hash) => clips.studio.get(hash))
          await writeWhole(options.out, writeWav(sound))
          if (options.cues)
            await writeWhole(options.cues, new TextEncoder().encode(writeVtt(cuesOfRun(rehearsal, sound.from, offset))))
          if (options.json)
            streams.out(
              `${JSON.stringify({ out: options.out, cues: options.cues ?? null, from: sound.from, seconds: sound.samples.length / sound.sampleRate, calls: rehearsal.plan.calls.length })}\n`,
            )
          else
            streams.out(
              `${options.out}: ${rehearsal.plan.calls.length} calls, ${(sound.samples.length / sound.sampleRate).toFixed(1)} s; the car leaves at ${(-sound.from).toFixed(3)} s.\n`,
            )
        } finally {
          await clips.close()
        }
      },
    )
}

/** No half file under the final name, whatever happens. */
async function writeWhole(path: string, bytes: Uint8Array): Promise<void> {
  const part = `${path}.${randomUUID()}.part`
  try {
    const file = await open(part, 'w')
    try {
      await file.writeFile(bytes)
    } finally {
      await file.close()
    }
    await rename(part, path)
  } catch (error) {
    await rm(part, { force: true })
    throw new InputFault(
      `"${path}" cannot be written (${(error as NodeJS.ErrnoException).code ?? 'unknown'}); nothing was left behind.`,
    )
  }
}
