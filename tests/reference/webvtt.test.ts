import fc from 'fast-check'
import { parseText } from 'media-captions'
import { describe, expect, it } from 'vitest'
import { readCaptions } from '../../server/notes/readCaptions.ts'
import { writeSrt, writeVtt } from '../../server/speech/cues.ts'

/** W3C WebVTT, editor's draft (w3c/webvtt, index.bs at 009ec96): examples of "Introduction", in its own words. */
const EXAMPLES = {
  'several lines in a cue': {
    file: 'WEBVTT\n\n00:01.000 --> 00:04.000\nNever drink liquid nitrogen.\n\n00:05.000 --> 00:09.000\n— It will perforate your stomach.\n— You could die.\n',
    cues: [
      [1, 4, 'Never drink liquid nitrogen.'],
      [5, 9, '— It will perforate your stomach. — You could die.'],
    ],
  },
  'style and comment blocks before the first cue, and one after it': {
    file: 'WEBVTT\n\nSTYLE\n::cue {\n  color: papayawhip;\n}\n/* Style blocks cannot use blank lines nor "dash dash greater than" */\n\nNOTE comment blocks can be used between style blocks.\n\nSTYLE\n::cue(b) {\n  color: peachpuff;\n}\n\nhello\n00:00:00.000 --> 00:00:10.000\nHello <b>world</b>.\n\nNOTE style blocks cannot appear after the first cue.\n',
    cues: [[0, 10, 'Hello world.']],
  },
  'identifiers in words, in digits and with spaces': {
    file: "WEBVTT\n\ntest\n00:00.000 --> 00:02.000\nThis is a test.\n\n123\n00:00.000 --> 00:02.000\nThat's an, an, that's an L!\n\ncrédit de transcription\n00:04.000 --> 00:05.000\nTranscrit par Célestes™\n",
    cues: [
      [0, 2, 'This is a test.'],
      [0, 2, "That's an, an, that's an L!"],
      [4, 5, 'Transcrit par Célestes™'],
    ],
  },
  'classes and a change of language': {
    file: "WEBVTT\n\n04:02.500 --> 04:05.000\nJ'ai commencé le basket à l'âge de 13, 14 ans\n\n04:05.001 --> 04:07.800\nSur les <i.foreignphrase><lang en>playground</lang></i>, ici à Montpellier\n",
    cues: [
      [242.5, 245, "J'ai commencé le basket à l'âge de 13, 14 ans"],
      [245.001, 247.8, 'Sur les playground, ici à Montpellier'],
    ],
  },
  'voices, open and closed, with classes': {
    file: "WEBVTT\n\n00:00.000 --> 00:02.000\n<v.first.loud Esme>It's a blue apple tree!\n\n00:02.000 --> 00:04.000\n<v Mary>No way!\n\n00:04.000 --> 00:06.000\n<v Esme>Hee!</v> <i>laughter</i>\n\n00:06.000 --> 00:08.000\n<v.loud Mary>That's awesome!\n",
    cues: [
      [0, 2, "It's a blue apple tree!"],
      [2, 4, 'No way!'],
      [4, 6, 'Hee! laughter'],
      [6, 8, "That's awesome!"],
    ],
  },
} as const

describe("WebVTT by the W3C grammar's own examples", () => {
  for (const [name, { file, cues }] of Object.entries(EXAMPLES)) {
    const ours = readCaptions(file)
    it(`reads ${name}`, () =>
      expect(ours.cues.map(({ start, end, from, to }) => [start, end, ours.text.slice(from, to)])).toEqual(cues))
    it(`times ${name} as media-captions does`, async () => {
      const theirs = await parseText(file, { type: 'vtt' })
      expect(ours.cues.map(({ start, end }) => [start, end])).toEqual(
        theirs.cues.map(({ startTime, endTime }) => [startTime, endTime]),
      )
    })
  }
  it('leaves out time stamps inside a cue', () =>
    expect(readCaptions('WEBVTT\n\n00:16.500 --> 00:18.500\nfive <00:17.500>left\n').text).toBe('five left'))
})

/**
 * Timings the W3C test suite takes and refuses (web-platform-tests, webvtt/parsing/file-parsing: timings-omitted-hours, timings-too-short,
 * timings-too-long at 2a5828b): hours may be left out or have one digit or three, minutes, seconds and thousandths may not.
 */
const TIMINGS = {
  taken: [
    '00:00.000 --> 00:00:01.000',
    '00:00:00.000 --> 00:01.000',
    '0:00:00.000 --> 00:00:01.000',
    '000:00:00.000 --> 00:00:01.000',
    '00:00:00.000 --> 0:00:01.000',
  ],
  refused: [
    '00:0:00.000 --> 00:00:01.000',
    '00:00:0.000 --> 00:00:01.000',
    '00:00:00.00 --> 00:00:01.000',
    '00:00:00 --> 00:00:01.000',
    '0:00.000 --> 00:01.000',
    '00:00.000 --> 0:01.000',
    '00:00:00.0000 --> 00:00:01.000',
    '00:000:00.000 --> 00:00:01.000',
    '000:00.000 --> 00:01.000',
  ],
}

describe('timings of the W3C test suite', () => {
  const cuesOf = (timing: string) => readCaptions(`WEBVTT\n\n${timing}\n5 left\n`).cues.length
  for (const timing of TIMINGS.taken) it(`takes ${timing}`, () => expect(cuesOf(timing)).toBe(1))
  for (const timing of TIMINGS.refused) {
    it(`refuses ${timing}, and says so`, () => {
      const read = readCaptions(`WEBVTT\n\n${timing}\n5 left\n`)
      expect([read.cues.length, read.faults.length > 0]).toEqual([0, true])
    })
  }
})

describe('captions there and back', () => {
  const cues = fc
    .array(fc.tuple(fc.integer({ min: 0, max: 50_000 }), fc.stringMatching(/^[a-z0-9<>&]+( [a-z0-9<>&]+){0,4}$/)), {
      minLength: 1,
      maxLength: 20,
    })
    .map((list) => list.map(([ms, text], i) => ({ start: i * 100 + ms / 1000, end: i * 100 + ms / 1000 + 1, text })))
  it('reads what Say When writes as WebVTT', () => {
    fc.assert(
      fc.property(cues, (list) => {
        expect(readCaptions(writeVtt(list)).text.split('\n')).toEqual(list.map((cue) => cue.text))
      }),
      { numRuns: 300, seed: 5 },
    )
  })
  it('has the times media-captions reads of a SubRip file', async () => {
    const list = [
      { start: 1.25, end: 2, text: 'five left' },
      { start: 3661.5, end: 3662, text: 'three right' },
    ]
    const theirs = await parseText(writeSrt(list), { type: 'srt' })
    expect(readCaptions(writeSrt(list)).cues.map((cue) => [cue.start, cue.end])).toEqual(
      theirs.cues.map((cue) => [cue.startTime, cue.endTime]),
    )
  })
})
