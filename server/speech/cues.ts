import type { Seconds } from '../units.ts'

export interface Cue {
  readonly start: Seconds
  readonly end: Seconds
  readonly text: string
}

/** W3C WebVTT: header, a blank line, cues with `hh:mm:ss.ttt --> hh:mm:ss.ttt`, no `-->` and no blank line in the text. */
export function writeVtt(cues: readonly Cue[]): string {
  return `WEBVTT\n\n${cues.map((cue, i) => `${i + 1}\n${stamp(cue.start, '.')} --> ${stamp(cue.end, '.')}\n${escape(cue.text)}\n`).join('\n')}`
}

/** SubRip: the same with commas. */
export function writeSrt(cues: readonly Cue[]): string {
  return cues
    .map(
      (cue, i) =>
        `${i + 1}\n${stamp(cue.start, ',')} --> ${stamp(cue.end, ',')}\n${cue.text.replace(/\s+/g, ' ').replace(/-->/g, '→')}\n`,
    )
    .join('\n')
}

const escape = (text: string) =>
  text.replace(/\s+/g, ' ').replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;')

function stamp(seconds: Seconds, point: string): string {
  if (!(seconds >= 0)) throw new RangeError(`writeVtt: a cue cannot start before 0, got ${seconds}`)
  const ms = Math.round(seconds * 1000)
  const two = (value: number) => String(value).padStart(2, '0')
  return `${two(Math.floor(ms / 3_600_000))}:${two(Math.floor(ms / 60_000) % 60)}:${two(Math.floor(ms / 1000) % 60)}${point}${String(ms % 1000).padStart(3, '0')}`
}
