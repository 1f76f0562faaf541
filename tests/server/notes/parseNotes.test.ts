import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { VOCABULARY } from '../../../server/notes/vocabulary.ts'
import { typed } from '../../bench/noise/noiseChannel.ts'
import { randomStage } from '../../bench/noise/randomStage.ts'
import { seededRandom } from '../../seededRandom.ts'

const values = (text: string, settings = {}) =>
  parseNotes(text, settings).notes.calls.flatMap((call) => call.elements.map((element) => element.value))
const codes = (text: string, settings = {}) => parseNotes(text, settings).diagnostics.map((one) => one.code)
const forms = VOCABULARY.flatMap((row) => [...row.forms, ...(row.shorthand ?? [])])
const anything = fc
  .array(
    fc.oneof(fc.constantFrom(...forms, '5', '64', '340', ',', '\n', '#', '!', '“', '½'), fc.string({ unit: 'binary' })),
    {
      maxLength: 12,
    },
  )
  .map((parts) => parts.join(' '))

describe('reading notes', () => {
  it('never throws, and keeps elements in order as the very characters of the text', () => {
    fc.assert(
      fc.property(anything, fc.boolean(), (text, dictated) => {
        let at = 0
        for (const call of parseNotes(text, { dictated }).notes.calls) {
          for (const element of call.elements) {
            expect(element.from).toBeGreaterThanOrEqual(at)
            expect(element.text).toBe(text.slice(element.from, element.to))
            at = element.to
          }
        }
      }),
      { numRuns: 2000, seed: 11 },
    )
  })
  it('prints unchanged notes as the same bytes: ranges and what is between them make the text', () => {
    const text = '\uFEFF# 6 fastest\r\n5 left —  long;\t60\r\n\r\nçédille 3R! 4½ L\r\n'
    let printed = ''
    let at = 0
    for (const element of parseNotes(text).notes.calls.flatMap((call) => call.elements)) {
      printed += text.slice(at, element.from) + element.text
      at = element.to
    }
    expect(Buffer.from(printed + text.slice(at))).toEqual(Buffer.from(text))
  })
  it('takes "long" for the corner\'s length before something beside the road', () =>
    expect(values('2 right long rocks inside')).toEqual(['R 2', 'long', 'rocks inside']))
  it('sorts numbers by what follows: "sixty four right" is 60 and then 4', () =>
    expect(values('sixty four right')).toEqual(['60', 'R 4']))
  it('keeps 130 whole', () => expect(values('5 left 130 4 right')).toEqual(['L 5', '130', 'R 4']))
  it('lets the road break a tie', () => {
    const near30 = (metres: number) => Math.min(2, Math.abs(Math.log(metres / 30)) / 0.2)
    expect(values('5 left 34 right', { repair: true, distanceCost: near30 })).toEqual(['L 5', '30', 'R 4'])
  })
  it('reads angles as grades where corners are said in degrees', () =>
    expect(parseNotes('60 right, 100, 45 left long, 80 left, 200').notes.system.style).toBe('degrees'))
  it("lets a crew's own word take the place of the built-in one", () =>
    expect(values('zing left', { crewWords: [{ forms: ['zing'], means: 'hairpin' }] })).toEqual(['L hairpin']))
  it('hides the built-in meaning of a form the crew defines', () =>
    expect(values('cr 60', { crewWords: [{ forms: ['cr'], means: 'crew road' }] })).toEqual(['cr', '60']))
  it('reads over a noise of thinking', () => expect(values('four um right')).toEqual(['R 4']))
})

describe('doubts', () => {
  it('offers both readings where the second is as near, and leaves the text', () => {
    const { notes, diagnostics } = parseNotes('5 left tightens one twenty five right', { repair: true })
    const doubt = diagnostics.find((one) => one.code === 'ambiguous')
    expect(doubt?.others?.map((fix) => fix.insert)).toEqual(['tightens, one twenty', 'tightens one, twenty'])
    expect(notes.text).toBe('5 left tightens one twenty five right')
  })
  it('offers the comma that was lost between two numbers', () =>
    expect(codes('four left sixty four right', { dictated: true, repair: true })).toContain('lost-comma'))
  it.each([
    ['dont cut', 'dont cut'],
    ["don't cut", 'dont cut'],
    ['Don’t cut', 'dont cut'],
  ])('hides what is built in behind a crew’s own “%s” where “%s” is written', (form, written) => {
    const { calls } = parseNotes(`4 left ${written} 60`, { crewWords: [{ forms: [form], means: null }] }).notes
    expect(calls[0]!.elements[1]!.kind).toBe('line')
  })
  it('says that the road told which number is fastest, where the notes speak against themselves', () => {
    const { system, reasons } = parseNotes('3 left tightens 2\n3 left tightens 5', { fastByRoad: -8 }).notes
    expect(system.fastest).toBe('low')
    expect(reasons[0]!.says).toBe('Read with 1 fastest: on this road the notes fit better so.')
  })
  it('says where a corner tightens to a wider grade', () =>
    expect(codes('3 left tightens 5', { system: { fastest: 'high' } })).toContain('contradiction'))
  it('never suggests the word that was written', () => {
    const told = parseNotes('side lefft crests', {}).diagnostics.filter((one) => one.fix)
    expect(told.every((one) => one.fix!.insert !== one.message.split('"')[1])).toBe(true)
  })
  it('offers nothing certain on clean notes', () => {
    const certain = [1, 2, 3, 4].flatMap((seed) =>
      parseNotes(typed(randomStage(seededRandom(seed), 30), seed % 2 === 0), { repair: true }).diagnostics.filter(
        (one) => one.certain,
      ),
    )
    expect(certain).toEqual([])
  })
})
