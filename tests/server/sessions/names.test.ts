import { describe, expect, it } from 'vitest'
import { cleanName, freeName } from '../../../server/sessions/cleanName.ts'
import { makeCode, readCode } from '../../../server/sessions/joinCode.ts'
import { csvField } from '../../../server/sessions/results.ts'
import { seededRandom } from '../../seededRandom.ts'

describe('names are free text, limited', () => {
  it.each([
    ['  Ann \n Lee  ', 'Ann Lee'],
    ['', 'Guest'],
    ['\u0000\u0007', 'Guest'],
    ['👩‍👩‍👧‍👦 crew', '👩‍👩‍👧‍👦 crew'],
    ['שלום', 'שלום'],
    ['evil\u202Egnp.exe', 'evil gnp.exe'],
    ['a\u2066b\u2069', 'a b'],
    ['<img src=x onerror=alert(1)>', '<img src=x onerror=alert(1)>'],
    ['x'.repeat(5000), 'x'.repeat(40)],
    ['👍🏽'.repeat(60), '👍🏽'.repeat(40)],
    [`Z${'\u0300'.repeat(60)}ed`, 'Zed'],
  ])('%j becomes %j', (raw, shown) => {
    expect(cleanName(raw, 'Guest')).toBe(shown)
  })

  it('numbers those who bear the same name', () => {
    expect(freeName('Ann', ['ann', 'Ann (2)'])).toBe('Ann (3)')
    expect(freeName('Ann', ['Anna'])).toBe('Ann')
  })
})

describe('join codes', () => {
  it('have six letters that are not taken for one another', () => {
    const random = seededRandom(1)
    for (let i = 0; i < 200; i++) expect(makeCode(random)).toMatch(/^[A-HJKMNP-Z]{6}$/)
  })

  it('are read as they are typed', () => {
    expect(readCode(' abc-def ')).toBe('ABCDEF')
  })
})

describe('a field of the CSV', () => {
  it.each([
    ['plain', 'plain'],
    ['a,"b"', '"a,""b"""'],
    ['=1+1', "'=1+1"],
    ['@cmd', "'@cmd"],
    [-0.12345, '-0.123'],
    [null, ''],
  ] as const)('%j is written %j', (value, written) => {
    expect(csvField(value)).toBe(written)
  })
})
