import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { looksLikeCaptions, readCaptions, withTimeHints } from '../../../server/notes/readCaptions.ts'

const SRT =
  '1\r\n00:00:01,000 --> 00:00:03,000\r\nfive left long\r\n\r\n2\r\n00:00:04,500 --> 00:00:06,500\r\n<i>60</i> into\r\nthree right\r\n'

describe('captions as notes', () => {
  it('makes a line of each SubRip cue, tags left out', () =>
    expect(readCaptions(SRT).text).toBe('five left long\n60 into three right'))
  it('keeps the place and times of each cue', () =>
    expect(readCaptions(SRT).cues).toEqual([
      { start: 1, end: 3, from: 0, to: 14 },
      { start: 4.5, end: 6.5, from: 15, to: 34 },
    ]))
  it('gives each call the time at which its first word was spoken', () => {
    const { text, cues } = readCaptions(SRT)
    const hints = withTimeHints(parseNotes(text).notes.calls, cues).map((call) => call.timeHint)
    // The second call begins at letter 8 of 19 of the second cue: 4.5 s + 2 s x 8/19.
    expect(hints[0]).toBe(1)
    expect(hints[1]).toBeCloseTo(4.5 + (2 * 8) / 19, 9)
  })
  it('tells captions from notes', () =>
    expect([SRT, 'WEBVTT\n\n', '5 left\n60', '1\n2 left'].map(looksLikeCaptions)).toEqual([true, true, false, false]))
  it('keeps shorthand that looks like a tag', () =>
    expect(readCaptions('WEBVTT\n\n00:01.000 --> 00:02.000\n4L &lt; 60 &gt; 2').text).toBe('4L < 60 > 2'))
  it('tells of a bad time by its line and reads the rest', () => {
    const read = readCaptions('WEBVTT\n\n00:99.000 --> 00:01.000\nlost\n\n00:02.000 --> 00:03.000\n5 left')
    expect(read.text).toContain('5 left')
    expect(read.faults[0]?.line).toBe(3)
  })
})
