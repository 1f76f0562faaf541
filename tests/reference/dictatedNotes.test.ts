import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { acceptCertain } from '../../server/notes/acceptCertain.ts'
import { parseNotes } from '../../server/notes/parseNotes.ts'
import { measure } from '../bench/noise/measure.ts'
import { DICTATION } from '../bench/noise/noiseChannel.ts'
import { score } from '../bench/noise/score.ts'
import { hasShared, sharedPath } from '../sharedData.ts'

const elements = (text: string, settings = {}) =>
  parseNotes(text, settings).notes.calls.flatMap((call) => call.elements)

describe.skipIf(!hasShared)('the dictated sample', () => {
  const text = hasShared ? readFileSync(sharedPath('notes/dictated-fell.txt'), 'utf8') : ''
  const key = hasShared ? readFileSync(sharedPath('notes/dictated-fell.key.txt'), 'utf8') : ''
  it('is every element of its key once the certain fixes are in', () => {
    const mended = acceptCertain(text).text
    const { right, of } = score(elements(key), elements(mended, { dictated: true }), mended.length)
    expect([right, of]).toEqual([61, 61])
  })
  it('is every element of its key by best reading', () => {
    const { right, of } = score(elements(key), elements(text, { repair: true }), text.length)
    expect([right, of]).toEqual([61, 61])
  })
  it('gives each repair a range of the text and what to put there', () => {
    const fixes = parseNotes(text, { repair: true }).diagnostics.filter((one) => one.certain)
    expect(fixes.map((one) => [text.slice(one.fix!.from, one.fix!.to), one.fix!.insert])).toContainEqual([
      '76',
      '70, 6',
    ])
  })
})

describe('stages nobody has seen, through the noise channel', () => {
  // A small sample of `npm run bench -- notes`, so that a fall in accuracy fails here.
  const result = measure({
    channel: DICTATION,
    vocabulary: 'all',
    styles: ['numbers', 'words', 'side-first'],
    stages: 12,
    firstSeed: 31_000,
    show: null,
  })
  const shareOf = ({ right, of }: { right: number; of: number }) => right / of
  it('have 19 of 20 elements right once the certain fixes are in', () =>
    expect(shareOf(result.certain)).toBeGreaterThan(0.95))
  it('have 97 of 100 right by the best reading', () => expect(shareOf(result.best)).toBeGreaterThan(0.97))
  it('have certain fixes right but for one in a hundred', () => expect(shareOf(result.meant)).toBeGreaterThan(0.99))
  it('have six of seven of what is still wrong pointed at', () => expect(shareOf(result.flagged)).toBeGreaterThan(0.85))
})
