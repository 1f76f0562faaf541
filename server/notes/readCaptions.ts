import webvtt from 'webvtt-parser'
import type { Call } from './notes.ts'

/** A spoken cue: its words, and when on the recording's clock (seconds). `from` and `to` are its place in the notes made of all cues. */
export interface CaptionCue {
  readonly start: number
  readonly end: number
  readonly from: number
  readonly to: number
}

export interface CaptionNotes {
  /** One line a cue: notes like any other. */
  readonly text: string
  readonly cues: readonly CaptionCue[]
  /** What the file has that the format does not allow, by line; what could be read was. */
  readonly faults: readonly { readonly line: number; readonly says: string }[]
}

/** True for text that is WebVTT by its first line or SubRip by its first timing line. */
export function looksLikeCaptions(text: string): boolean {
  return /^\uFEFF?WEBVTT(?:[ \t\r\n]|$)/.test(text) || SUBRIP_START.test(text)
}

const SUBRIP_START = /^\uFEFF?\s*\d+[ \t]*\r?\n\s*\d+:\d{2}:\d{2}[,.]\d{1,3}[ \t]*-->/

/**
 * Captions of a spoken stage as notes: WebVTT, or SubRip (read as WebVTT, which it was made from: commas in times become points, and a header is put
 * before it). Tags and voices are left out, entities become their characters, lines of one cue are joined. Never throws: faults are told with their line.
 */
export function readCaptions(file: string): CaptionNotes {
  const plain = file.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n')
  const subrip = !plain.startsWith('WEBVTT')
  const source = subrip ? asVtt(plain) : plain
  const tree = new webvtt.WebVTTParser(ENTITIES).parse(source, 'metadata')
  let text = ''
  const cues: CaptionCue[] = []
  for (const cue of [...tree.cues].sort((a, b) => a.startTime - b.startTime)) {
    const said = spokenText(cue.text)
    if (said === '') continue
    if (text !== '') text += '\n'
    cues.push({ start: cue.startTime, end: cue.endTime, from: text.length, to: text.length + said.length })
    text += said
  }
  const shift = subrip ? HEADER_LINES : 0
  const faults = tree.errors.map((one) => ({ line: Math.max(1, one.line - shift), says: one.message }))
  return { text, cues, faults }
}

const HEADER_LINES = 2

function asVtt(subrip: string): string {
  const lines = subrip.replace(/^\s+/, '').split('\n')
  const timed = lines.map((line) => {
    const times = /^\s*(\d+:\d{2}:\d{2})[,.](\d{1,3})\s*-->\s*(\d+:\d{2}:\d{2})[,.](\d{1,3})/.exec(line)
    if (!times) return line
    const [, from, fromMs, to, toMs] = times as unknown as [string, string, string, string, string]
    return `${hours(from)}.${fromMs.padEnd(3, '0')} --> ${hours(to)}.${toMs.padEnd(3, '0')}`
  })
  return `WEBVTT\n\n${timed.join('\n')}\n`
}

const hours = (time: string) => (time.indexOf(':') < 2 ? `0${time}` : time)

/** The entities WebVTT names. */
const ENTITIES: Readonly<Record<string, string>> = {
  '&amp': '&',
  '&lt': '<',
  '&gt': '>',
  '&lrm': '\u200e',
  '&rlm': '\u200f',
  '&nbsp': '\u00a0',
  '&amp;': '&',
  '&lt;': '<',
  '&gt;': '>',
  '&lrm;': '\u200e',
  '&rlm;': '\u200f',
  '&nbsp;': '\u00a0',
}

/** Words of a cue: tags and time stamps out, a lone `<` or `>` (shorthand for opens and tightens) kept where it is no tag. */
function spokenText(cue: string): string {
  return cue
    .replace(/<\/?(?:c|i|b|u|v|lang|ruby|rt|font)(?:[.\s][^>]*)?>/gi, '')
    .replace(/<\d+(?::\d{2}){1,2}\.\d{3}>/g, '')
    .replace(/\{\\[^}]*\}/g, '')
    .replace(/&(amp|lt|gt|lrm|rlm|nbsp);/g, (entity) => ENTITIES[entity]!)
    .replace(/[\u200e\u200f]/g, '')
    .replace(/[\s\u00a0]+/g, ' ')
    .trim()
}

/** Calls with the second at which each was begun to be spoken: that of its first word in the cue, by its share of the cue's letters. */
export function withTimeHints(calls: readonly Call[], cues: readonly CaptionCue[]): Call[] {
  let at = 0
  return calls.map((call) => {
    while (at + 1 < cues.length && cues[at + 1]!.from <= call.from) at++
    const cue = cues[at]
    if (cue === undefined) return call
    const share = Math.min(1, Math.max(0, (call.from - cue.from) / Math.max(1, cue.to - cue.from)))
    return { ...call, timeHint: cue.start + share * (cue.end - cue.start) }
  })
}
