import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { acceptCertain } from '../../server/notes/acceptCertain.ts'
import { parseNotes } from '../../server/notes/parseNotes.ts'
import { hear, writeHeard } from '../bench/noise/noiseChannel.ts'
import { randomStage } from '../bench/noise/randomStage.ts'
import { score } from '../bench/noise/score.ts'
import { seededRandom } from '../seededRandom.ts'
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
  // A small sample of `npm run bench -- notes`, so that a fall in accuracy fails here: slips 2 %, lost words 0.2 %.
  const channel = { commas: 0.12, strayCommas: 0.02, slips: 0.02, lost: 0.002, ums: 0.01 }
  const sums = { right: 0, of: 0 }
  for (let seed = 1; seed <= 8; seed++) {
    const random = seededRandom(31_000 + seed)
    const key = randomStage(random, 26)
    const { text } = writeHeard(hear(key, random, channel))
    const { dictated } = parseNotes(text).notes
    const mended = acceptCertain(text, { dictated }).text
    const { right, of } = score(key, elements(mended, { dictated }), mended.length)
    sums.right += right
    sums.of += of
  }
  it('has more than 19 of 20 elements right once the certain fixes are in', () =>
    expect(sums.right / sums.of).toBeGreaterThan(0.95))
})
