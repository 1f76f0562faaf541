import fc from 'fast-check'
import { parseText } from 'media-captions'
import { describe, expect, it } from 'vitest'
import { readCaptions } from '../../server/notes/readCaptions.ts'
import { writeSrt, writeVtt } from '../../server/speech/cues.ts'

/** W3C WebVTT, "1. Introduction" and "4. Syntax": the specification's own examples, from memory of its text. */
const EXAMPLES = {
  'cues with times without hours':
    "WEBVTT\n\n00:11.000 --> 00:13.000\n<v Roger Bingham>We are in New York City\n\n00:13.000 --> 00:16.000\n<v Roger Bingham>We're actually at the Lucern Hotel, just down the street\n",
  'several lines in a cue, and settings':
    'WEBVTT\n\n00:01.000 --> 00:04.000 line:63% position:72% align:start\n- Never drink liquid nitrogen.\n- It will perforate your stomach.\n',
  'a comment between cues':
    'WEBVTT - a title\n\nNOTE This file is not quite right\n\n1\n00:01:14.815 --> 00:01:18.114\n- What?\n- Where are we now?\n',
  'cue time stamps and classes':
    'WEBVTT\n\n00:16.500 --> 00:18.500\nWhen the moon <00:17.500>hits your eye\n\n00:22.000 --> 00:24.000\n<c.yellow.bg_blue>This is yellow</c> and <b>bold</b>\n',
}

describe('WebVTT by the W3C grammar', () => {
  for (const [name, file] of Object.entries(EXAMPLES)) {
    it(`reads ${name} as media-captions does`, async () => {
      const theirs = await parseText(file, { type: 'vtt' })
      const ours = readCaptions(file)
      expect(ours.cues.map(({ start, end }) => [start, end])).toEqual(
        theirs.cues.map(({ startTime, endTime }) => [startTime, endTime]),
      )
    })
  }
  it('leaves out voices and joins the lines of a cue', () =>
    expect(readCaptions(EXAMPLES['cues with times without hours']).text.split('\n')[0]).toBe('We are in New York City'))
  it('leaves out time stamps and classes', () =>
    expect(readCaptions(EXAMPLES['cue time stamps and classes']).text).toBe(
      'When the moon hits your eye\nThis is yellow and bold',
    ))
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
