import { signMark } from './grades.ts'
import type { Call, NoteElement, Notes, WordedCall, WordedElement, Wording } from './notes.ts'
import { rowOf, spokenOf } from './vocabulary.ts'

export interface WordingOptions {
  /** Element texts never to be dropped. */
  readonly pins?: ReadonlySet<string>
  /** Elements left out besides what the wording drops: call index and element index. */
  readonly drops?: readonly { readonly call: number; readonly element: number }[]
}

/** Objects are not said where the same call says don't cut; landmarks only name the place of these corners. */
const NAMED_BY_LANDMARK = new Set(['square', 'hairpin', 'open hairpin', 'acute hairpin', 'acute'])
/** Sizes whose loss changes nothing a driver does. */
const SMALL_SIZES = new Set(['small', 'long size'])

/**
 * Calls as they are said in a wording (notes-grammar §6). Verbose says everything, numbers in full and with their unit; standard leaves out what is
 * said for completeness; terse what the driver can do without. Grades, sides, warnings, distances and links are never dropped, nor anything pinned.
 */
export function wordCalls(notes: Notes, wording: Wording, options: WordingOptions = {}): WordedCall[] {
  const dropped = new Set((options.drops ?? []).map(({ call, element }) => `${call}:${element}`))
  return notes.calls.map((call) => {
    const elements: WordedElement[] = []
    const left: number[] = []
    call.elements.forEach((element, e) => {
      const pinned = options.pins?.has(element.text) ?? false
      const keep = pinned || (!dropped.has(`${call.index}:${e}`) && isSaid(call, element, wording))
      const say = keep ? sayElement(element, wording, pinned) : ''
      if (say === '') left.push(e)
      else elements.push({ element: e, say })
    })
    return { call: call.index, wording, elements, dropped: left }
  })
}

/** What leaving an element out costs the driver, a small whole number for the wording choice: what a crunch alone may drop weighs most. */
export function lossOf(element: NoteElement): number {
  return [8, 4, 2, 1][element.drop]!
}

function isSaid(call: Call, element: NoteElement, wording: Wording): boolean {
  if (wording === 'verbose') return true
  if (element.drop >= 3) return false
  if (wording === 'standard') return true
  if (element.drop >= 2) return false
  if (element.kind === 'object') return !call.elements.some((one) => one.value.startsWith("don't cut"))
  if (element.kind === 'landmark' && /^(at|past) /.test(element.value)) return namesTheCorner(call)
  return !element.words.includes('maybe')
}

function namesTheCorner(call: Call): boolean {
  return call.elements.some((one) => {
    if (one.meaning.is === 'turn') return true
    if (one.meaning.is !== 'corner' || one.meaning.grade === null) return false
    return NAMED_BY_LANDMARK.has(one.meaning.grade.name) || one.meaning.grade.name.endsWith('°')
  })
}

/** Digits stay digits here: the voice's phrasing says them as its number style asks. */
function sayElement(element: NoteElement, wording: Wording, pinned: boolean): string {
  if (element.kind === 'unknown') return element.text
  if (element.meaning.is === 'corner') return sayCorner(element)
  if (element.kind === 'distance' && element.words[0]?.startsWith('#')) return sayDistance(element, wording)
  if (element.meaning.is === 'change' && element.meaning.to !== null) {
    const [change, ...target] = element.words
    return `${spoken(change!)} ${wording === 'verbose' ? 'to ' : ''}${target.map(spoken).join(' ')}`
  }
  const finish = element.meaning.is === 'finish'
  if (finish) return wording === 'verbose' || /^to\b/i.test(element.text) ? 'to finish' : 'finish'
  const words = element.words.filter((word) => wording !== 'terse' || pinned || !SMALL_SIZES.has(word))
  return words.map((word) => (wording === 'terse' ? (rowOf(word)?.terse ?? shorter(word)) : spoken(word))).join(' ')
}

const shorter = (word: string) => (word === 'keeps tightening' ? 'tightens' : spoken(word))

/** A corner is said in the order it was written. */
const sayCorner = (element: NoteElement) => element.words.map(spoken).join(' ')

function sayDistance(element: NoteElement, wording: Wording): string {
  const [number, unit] = element.words
  if (wording !== 'verbose') return number!.slice(1)
  const metres = element.meaning.is === 'distance' && Math.abs(element.meaning.length - Number(number!.slice(1))) < 1e-6
  return `${number!.slice(1)} ${unit ?? (metres ? 'metres' : 'yards')}`
}

function spoken(word: string): string {
  if (word.startsWith('#')) return word.slice(1)
  const row = rowOf(word)
  return row ? spokenOf(row) : (signMark(word) && word) || word
}
