import type { Metres } from '../../server/units.ts'
import type { TrueCorner } from './truth.ts'

/** How an invented crew calls a road they drove: words in, words out, no measuring. */
export interface CrewStyle {
  readonly grade: (radius: Metres) => string
  readonly distance: (metres: Metres) => string | null
  /** Below this gap the next corner is "into"; below the second, "and". */
  readonly into: Metres
  readonly and: Metres
}

/** The extra words of a call that no geometry shows. */
export interface Remarks {
  readonly before?: string
  readonly after?: string
}

/** Default radii of the grades, metres (from memory); a corner takes the nearest in ln radius. */
const NUMBERS: readonly (readonly [string, Metres])[] = [
  ['hairpin', 9],
  ['1', 17],
  ['2', 27],
  ['3', 42],
  ['4', 65],
  ['5', 100],
  ['6', 150],
  ['flat', 260],
]
const WORDS: readonly (readonly [string, Metres])[] = [
  ['hairpin', 9],
  ['slow', 25],
  ['medium', 55],
  ['easy', 110],
  ['flat', 260],
]

const nearest = (scale: readonly (readonly [string, Metres])[]) => (radius: Metres) =>
  scale.reduce((best, row) =>
    Math.abs(Math.log(row[1] / radius)) < Math.abs(Math.log(best[1] / radius)) ? row : best,
  )[0]

export const numberCrew: CrewStyle = {
  grade: nearest(NUMBERS),
  distance: (metres) => (metres < 25 ? null : String(Math.round(metres / 10) * 10)),
  into: 13,
  and: 25,
}

/** Distances in yards to the nearest ten, as on an island that kept its miles. */
export const yardCrew: CrewStyle = {
  grade: nearest(WORDS),
  distance: (metres) => (metres < 25 ? null : String(Math.round(metres / 0.9144 / 10) * 10)),
  into: 13,
  and: 25,
}

/** One text line a corner, the way to it leading: "60, 4 left long over crest". */
export function callRoad(
  corners: readonly TrueCorner[],
  remarks: ReadonlyMap<number, Remarks>,
  style: CrewStyle,
  finish: string,
): string {
  const lines: string[] = []
  corners.forEach((corner, i) => {
    const remark = remarks.get(i)
    const grade = style.grade(corner.radius)
    const parts = [remark?.before, /^[1-9]$/.test(grade) ? `${grade} ${corner.side}` : `${grade} ${corner.side}`]
    if (corner.angle > 2.2 && grade !== 'hairpin') parts.push('very long')
    else if (corner.angle > 1.25 && grade !== 'hairpin') parts.push('long')
    if (corner.second !== undefined) {
      const to = style.grade(corner.second)
      const word = corner.second < corner.radius ? 'tightens' : 'opens'
      parts.push(to === grade ? word : `${word} ${to}`)
    }
    if (corner.crest && corner.crest.at >= 0) parts.push('over crest')
    parts.push(remark?.after)
    const call = parts.filter(Boolean).join(' ')
    const link = i === 0 ? 'start' : corner.before < style.into ? 'into' : corner.before < style.and ? 'and' : ''
    const distance = style.distance(corner.before)
    const lead = [link, distance].filter(Boolean).join(', ')
    if (corner.crest && corner.crest.at < 0 && distance !== null) {
      lines.push(
        `${link ? `${link}, ` : ''}${style.distance(corner.before * (1 + corner.crest.at))}, over crest, ${style.distance(-corner.before * corner.crest.at)}`,
        call,
      )
    } else lines.push(lead === '' ? call : `${lead}${distance === null ? ' ' : ', '}${call}`)
  })
  return `${lines.join('\n')}\n${finish}\n`
}
