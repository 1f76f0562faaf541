import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { readCaptions } from '../../../server/notes/readCaptions.ts'
import { withSpokenTimes } from '../../../server/notes/spokenTimes.ts'

const CAPTIONS = readCaptions(
  'WEBVTT\n\n00:01.000 --> 00:03.000\nfor left long 60\n\n00:05.000 --> 00:07.000\nthree right over crest\n\n00:09.000 --> 00:11.000\nhairpin left 80\n',
)
const timesOf = (text: string) =>
  withSpokenTimes(parseNotes(text, { dictated: true }).notes.calls, text, CAPTIONS).map((call) => call.timeHint)

describe('when calls were spoken', () => {
  it('is the time of their cue while the text is that of the captions', () =>
    expect(timesOf(CAPTIONS.text)).toEqual([1, 5, 9]))
  it('stays with a call that was mended', () =>
    expect(timesOf('four left long, 60\nthree right over crest\nhairpin left 80')[2]).toBe(9))
  it('stays with the calls behind one that was taken out', () =>
    expect(timesOf('three right over crest\nhairpin left 80')).toEqual([5, 9]))
  it('is not known of a call that was written in later', () =>
    expect(timesOf(`${CAPTIONS.text}\nkink, 200`).at(-1)).toBe(undefined))
  it('never goes back, whatever the text', () => {
    const words = ['for', 'left', 'long', '60', 'three', 'right', 'over', 'crest', 'hairpin', '80', ',', '\n']
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...words), { maxLength: 40 }), (said) => {
        const times = timesOf(said.join(' ')).filter((time) => time !== undefined)
        expect(times).toEqual([...times].sort((a, b) => a - b))
      }),
      { numRuns: 300, seed: 11 },
    )
  })
})
