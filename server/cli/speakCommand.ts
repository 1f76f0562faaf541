import { Option } from 'commander'
import { prepareStage } from '../rehearsal/prepareStage.ts'
import { soundOfRun } from '../rehearsal/soundOfRun.ts'
import { voiceRun } from '../rehearsal/voiceRun.ts'
import { writeSrt, writeVtt } from '../speech/cues.ts'
import type { BitRate } from '../speech/encode.ts'
import { writePieces } from '../speech/writePieces.ts'
import { writeSoundApart } from '../speech/writeSoundApart.ts'
import { runCues } from '../takealong/runCues.ts'
import { countWords, runTags, SECTION } from '../takealong/runTags.ts'
import type { Streams } from './cli.ts'
import { openClips } from './openClips.ts'
import { cannotWrite, formatOf } from './outFile.ts'
import { readStage } from './readStage.ts'
import { CallFault, readNumber } from './readTarget.ts'
import { type RunOptions, runCommand, runSettings } from './stageOptions.ts'

interface SpeakOptions extends RunOptions {
  readonly out?: string
  readonly cues?: string
  readonly offset: string
  readonly continuous?: boolean
  readonly countIn?: boolean
  readonly ticks?: string
  readonly noise?: string
  readonly loudness: string
  readonly peak: string
  readonly bitrate: string
}

/** `speak`: the whole run or a section as one sound file, with tags, chapters and captions beside it. */
export function speakCommand(streams: Streams) {
  return runCommand('speak', 'write the run as sound')
    .option('--out <file>', 'the sound file: name.wav, name.mp3 or name.ogg')
    .option('--cues <file>', 'captions on the clock of the sound: name.vtt or name.srt')
    .option('--offset <seconds>', 'captions this much later', '0')
    .option('--continuous', 'call after call, without the silence between')
    .option('--count-in', 'a spoken count before the start')
    .option('--ticks <metres>', 'a soft tick every so many metres')
    .option('--noise <LU>', 'cabin noise, so far below the voice: 18')
    .option('--loudness <LUFS>', 'how loud', '-23')
    .option('--peak <dBTP>', 'the highest true peak', '-1')
    .addOption(new Option('--bitrate <kbit/s>', 'of an MP3').choices(['64', '96', '128']).default('64'))
    .action(async (folder: string | undefined, options: SpeakOptions) => {
      if (!options.out) throw new CallFault('speak needs --out FILE.wav, FILE.mp3 or FILE.ogg.')
      const out = options.out
      const format = formatOf(out, '--out', ['wav', 'mp3', 'ogg'])
      const cueFormat = options.cues === undefined ? null : formatOf(options.cues, '--cues', ['vtt', 'srt'])
      const offset = readNumber(options.offset, '--offset', -86_400, 86_400)
      const ticks = options.ticks === undefined ? null : readNumber(options.ticks, '--ticks', 10, 10_000)
      const noise = options.noise === undefined ? null : readNumber(options.noise, '--noise', 0, 60)
      if (options.continuous && (ticks !== null || noise !== null))
        throw new CallFault('--ticks and --noise go with stage timing, not with --continuous.')
      const level = {
        loudness: readNumber(options.loudness, '--loudness', -70, -5),
        peak: readNumber(options.peak, '--peak', -30, 0),
      }
      const disk = readStage(folder, options)
      const run = runSettings(disk, options)
      const stage = prepareStage(disk.stage)
      const clips = await openClips(streams)
      const { signal, done: settled } = stopOnInterrupt()
      try {
        const count = options.countIn
          ? await clips.studio.speakAll(
              countWords().map((words) => ({ words, ...voiceOf(run) })),
              { signal },
            )
          : []
        const rehearsal = await voiceRun(stage, run, clips.studio, (done, total) => {
          signal.throwIfAborted()
          tell(streams, 'speaking', done, total, 20)
        })
        const sound = await soundOfRun(rehearsal, (hash) => clips.studio.get(hash), {
          timing: options.continuous ? 'continuous' : 'stage',
          count: count.map(({ clip }) => clip),
          ticks,
          noise,
          random: streams.random,
          section: SECTION[disk.settings.units === 'miles' ? 'miles' : 'metric'],
        })
        const { from, spans, chapters } = sound
        const facts = await writeSoundApart(out, sound, {
          format,
          tags: runTags(rehearsal, chapters),
          bitrate: Number(options.bitrate) as BitRate,
          ...level,
          signal,
          onProgress: (done, total) => tell(streams, 'writing', done, total, Math.ceil(total / 20)),
        }).catch((error) => {
          throw cannotWrite(out, error)
        })
        if (options.cues && cueFormat) {
          const { cues } = runCues(rehearsal, spans, offset)
          const text = cueFormat === 'vtt' ? writeVtt(cues) : writeSrt(cues)
          await writePieces(options.cues, [new TextEncoder().encode(text)], signal).catch((error) => {
            throw cannotWrite(options.cues!, error)
          })
        }
        const calls = rehearsal.plan.calls.length
        if (options.json)
          streams.out(`${JSON.stringify({ out, cues: options.cues ?? null, from, ...facts, calls, chapters })}\n`)
        else
          streams.out(
            `${out}: ${calls} calls, ${facts.seconds.toFixed(1)} s${options.continuous ? '' : `; the car leaves at ${(-from).toFixed(3)} s`}; ${facts.loudness?.toFixed(1) ?? '–'} LUFS, ${facts.peak?.toFixed(1) ?? '–'} dBTP.\n`,
          )
      } catch (error) {
        throw signal.aborted ? cannotWrite(out, signal.reason) : error
      } finally {
        settled()
        await clips.close()
      }
    })
}

const voiceOf = ({ voice, rate, pitch }: { voice: string; rate: number; pitch: number }) => ({ voice, rate, pitch })

function tell(streams: Streams, what: string, done: number, total: number, every: number): void {
  if (done !== total && done % every > 0 && what === 'speaking') return
  streams.err(`\r${what} ${Math.round((100 * done) / total)} %${done === total ? '\n' : ''}`)
}

/** Ctrl-C stops the work and leaves no half file; a second one ends the program as usual. */
function stopOnInterrupt(): { signal: AbortSignal; done: () => void } {
  const stop = new AbortController()
  const listener = () => stop.abort()
  process.once('SIGINT', listener)
  return { signal: stop.signal, done: () => process.off('SIGINT', listener) }
}
