import type { Grade, GradeSystem } from './notes.ts'
import { rowOf } from './vocabulary.ts'

const NUMBER_WORDS = ['one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine']
const SIGN_MARKS: Readonly<Record<string, string>> = {
  plus: '+',
  minus: '-',
  half: '½',
  'double plus': '++',
  'double minus': '--',
}
const DEGREES = Math.PI / 180
/** Radius of a junction turn of so many degrees: a road's corner at a junction, 12 m (from memory, as the table's square). */
const JUNCTION_RADIUS = 12

/** Written mark of a sign row, as grades carry it in their name. */
export const signMark = (word: string): string => SIGN_MARKS[word] ?? ''

/** A numbered grade, in its system: where 1 is fastest, the number is turned round before the table is asked. */
export function numberedGrade(value: number, sign: string | null, system: GradeSystem): Grade {
  const fast = system.fastest === 'high' ? value : Math.min(9, Math.max(1, system.scale + 1 - value))
  const row = rowOf(NUMBER_WORDS[fast - 1]!)!
  return signed(String(value), row.geometry.radius!, row.geometry.angle!, sign)
}

/** A grade said in a word: flat, hairpin, medium … Throws RangeError for a word that is no grade. */
export function wordedGrade(word: string, sign: string | null): Grade {
  const row = rowOf(word)
  if (row?.kind !== 'grade') throw new RangeError(`wordedGrade: "${word}" is no grade`)
  return signed(word, row.geometry.radius!, row.geometry.angle!, sign)
}

/** A junction turn of so many degrees. */
export const degreesGrade = (degrees: number): Grade => ({
  name: `${degrees}°`,
  radius: JUNCTION_RADIUS,
  angle: degrees * DEGREES,
})

function signed(name: string, radius: number, degrees: number, sign: string | null): Grade {
  const factor = sign === null ? 1 : (rowOf(sign)?.geometry.factor ?? 1)
  return { name: name + (sign === null ? '' : signMark(sign)), radius: radius * factor, angle: degrees * DEGREES }
}
