import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { phrase } from '../../../server/speech/phrase.ts'

const said = (text: string, numbers: 'short' | 'full' = 'short') => phrase(text, { numbers }).join(' ')

describe('phrase', () => {
  it('reads 130 as crews do', () => expect(said('130')).toBe('one thirty'))
  it('reads 200 as two hundred', () => expect(said('200')).toBe('two hundred'))
  it('reads 5+ as five plus', () => expect(said('5+ left')).toBe('five plus left'))
  it('keeps apostrophes', () => expect(said('don’t cut')).toBe("don't cut"))
  it('leaves emoji and markup out', () => expect(said('<b>left</b> 🚗 4')).toBe('b left b four'))
  it('says only letters, marks, apostrophes and hyphens, whatever is typed', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        for (const word of phrase(text)) expect(word).toMatch(/^[\p{L}\p{N}\p{M}'-]+$/u)
      }),
      { seed: 7 },
    )
  })
})
