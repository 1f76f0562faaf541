import { type Metres, MILE } from '../units.ts'

export interface Section {
  readonly title: string
  readonly from: Metres
  readonly to: Metres
}

/**
 * The road cut at every whole `length` (1,000 m, or a mile), so that a section keeps its name whatever part is taken; a last piece shorter than half of one
 * joins the one before. [from, to) each, without gaps. Throws RangeError for length ≤ 0 or from ≥ to.
 */
export function sectionsOf(road: { from: Metres; to: Metres }, length: Metres): Section[] {
  if (!(length > 0)) throw new RangeError(`sectionsOf: length must be > 0, got ${length}`)
  if (!(road.from < road.to)) throw new RangeError(`sectionsOf: from ${road.from} is not before to ${road.to}`)
  const ends: Metres[] = [road.from]
  for (let k = Math.floor(road.from / length) + 1; k * length < road.to; k++) ends.push(k * length)
  if (ends.length > 1 && road.to - ends.at(-1)! < length / 2) ends.pop()
  ends.push(road.to)
  return ends.slice(1).map((to, i) => ({ title: titleOf(ends[i]!, to, length), from: ends[i]!, to }))
}

function titleOf(from: Metres, to: Metres, length: Metres): string {
  const miles = Math.abs(length - MILE) < 1
  const unit = miles ? MILE : 1000
  const number = (metres: Metres) => {
    const value = metres / unit
    return Math.abs(value - Math.round(value)) < 1e-6 ? String(Math.round(value)) : value.toFixed(1)
  }
  return `${number(from)} to ${number(to)} ${miles ? 'mi' : 'km'}`
}
