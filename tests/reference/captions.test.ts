import { describe, expect, it } from 'vitest'
import { writeSrt, writeVtt } from '../../server/speech/cues.ts'

const cues = [{ start: 3661.2345, end: 3662, text: 'left 4 --> <b>\n\nright & on' }]

// W3C WebVTT: header WEBVTT, hh:mm:ss.ttt, no "-->" in cue text.
describe('captions', () => {
  it('begins WebVTT with its header and a blank line', () => expect(writeVtt(cues).startsWith('WEBVTT\n\n')).toBe(true))
  it('writes WebVTT times to the millisecond', () =>
    expect(writeVtt(cues)).toContain('01:01:01.235 --> 01:01:02.000\n'))
  it('keeps arrows, tags and blank lines out of WebVTT text', () =>
    expect(writeVtt(cues).split('\n')[4]).toBe('left 4 --&gt; &lt;b&gt; right &amp; on'))
  it('writes SubRip times with commas', () => expect(writeSrt(cues)).toContain('01:01:01,235 --> 01:01:02,000\n'))
  it('refuses a cue before 0', () => expect(() => writeVtt([{ start: -1, end: 1, text: 'x' }])).toThrow(RangeError))
})
