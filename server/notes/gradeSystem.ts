import type { GradeSystem, NoteElement, SystemReason } from './notes.ts'

export const NEUTRAL_SYSTEM: GradeSystem = {
  style: 'numbers',
  fastest: 'high',
  scale: 6,
  order: 'grade-first',
  signs: false,
}

/** Crews with no evidence either way mostly have 6 fastest (common practice, no source). */
const PRIOR_HIGH = 0.5
/** A change against the grade before it votes this much; a comment that names an end, this much. Log odds. */
const CHANGE_VOTE = 2
const COMMENT_VOTE = 5
/** A road's vote below this is no reason. */
const ROAD_TELLS = 1

type Place = { readonly from: number; readonly to: number }
const place = (match: NoteElement): Place => ({ from: match.from, to: match.to })

/** The grade system as the text shows it, and why; anything in `given` is not asked for. `fastByRoad` is the road's vote, log odds for the highest number. */
export function detectSystem(
  text: string,
  matches: readonly NoteElement[],
  given: Partial<GradeSystem>,
  fastByRoad = 0,
): { system: GradeSystem; reasons: SystemReason[] } {
  const reasons: SystemReason[] = []
  const corners = matches.filter((match) => match.kind === 'corner')
  const graded = corners.flatMap((match) => {
    const grade = match.meaning.is === 'corner' ? match.meaning.grade : null
    return grade === null ? [] : [{ match, name: grade.name }]
  })
  const numbered = graded.filter(({ name }) => /^\d[+\-½]*$/.test(name))
  const worded = graded.filter(({ name }) => /^(very |medium )?(fast|easy|medium|slow)/.test(name))
  const fastest = fastEnd(text, matches, fastByRoad)
  reasons.push(fastest.reason)
  const above = numbered.filter(({ name }) => Number(name[0]) > 6)
  if (above.length > 0) {
    reasons.push({
      about: 'scale',
      says: `Grades above 6 occur, so the scale goes to 9.`,
      places: above.slice(0, 5).map(({ match }) => place(match)),
      odds: 5,
    })
  }
  const words = worded.length > numbered.length
  if (words) {
    reasons.push({
      about: 'style',
      says: `${worded.length} corners are graded in words, ${numbered.length} in numbers.`,
      places: worded.slice(0, 5).map(({ match }) => place(match)),
      odds: 3,
    })
  }
  const angles = graded.filter(({ name }) => name.endsWith('°'))
  const degrees = !words && angles.length > numbered.length
  if (degrees) {
    reasons.push({
      about: 'style',
      says: `${angles.length} corners are graded by their angle, ${numbered.length} in numbers.`,
      places: angles.slice(0, 5).map(({ match }) => place(match)),
      odds: 3,
    })
  }
  const sideFirst = numbered.filter(({ match }) => match.words[0] === 'left' || match.words[0] === 'right')
  const sideOrder = sideFirst.length * 2 > numbered.length
  if (sideOrder) {
    reasons.push({
      about: 'order',
      says: `${sideFirst.length} of ${numbered.length} corners say the side before the grade.`,
      places: sideFirst.slice(0, 5).map(({ match }) => place(match)),
      odds: 3,
    })
  }
  const signs = graded.some(({ name }) => /[+\-½]$/.test(name))
  return {
    system: {
      style: given.style ?? (words ? 'words' : degrees ? 'degrees' : 'numbers'),
      fastest: given.fastest ?? (fastest.odds >= 0 ? 'high' : 'low'),
      scale: given.scale ?? (above.length > 0 ? 9 : 6),
      order: given.order ?? (sideOrder ? 'side-first' : 'grade-first'),
      signs: given.signs ?? signs,
    },
    reasons,
  }
}

function fastEnd(
  text: string,
  matches: readonly NoteElement[],
  fastByRoad: number,
): { odds: number; reason: SystemReason } {
  let byText = PRIOR_HIGH
  const places: Place[] = []
  let grade: number | null = null
  let votes = 0
  for (const match of matches) {
    if (match.meaning.is === 'corner') grade = numberOf(match.meaning.grade?.name)
    if (match.meaning.is !== 'change') continue
    const to = numberOf(match.meaning.to?.name)
    if (grade === null || to === null || to === grade) continue
    const highFast = to < grade === (match.meaning.sense === 'tightens')
    byText += highFast ? CHANGE_VOTE : -CHANGE_VOTE
    votes++
    if (places.length < 5) places.push(place(match))
  }
  for (const comment of text.matchAll(/^[ \t]*#.*$/gm)) {
    const named = /\b([1-9])\b\D{0,24}\b(fastest|slowest)\b/i.exec(comment[0]) ?? null
    if (!named) continue
    const low = Number(named[1]) <= 3
    byText += low === (named[2]!.toLowerCase() === 'fastest') ? -COMMENT_VOTE : COMMENT_VOTE
    places.push({ from: comment.index, to: comment.index + comment[0].length })
  }
  const odds = byText + fastByRoad
  const end = odds >= 0 ? 'the highest number' : '1'
  const says =
    Math.abs(fastByRoad) >= Math.max(ROAD_TELLS, Math.abs(byText))
      ? `Read with ${end} fastest: on this road the notes fit better so.`
      : places.length === 0
        ? `Nothing in the notes shows which end of the scale is fast; taken as ${end}.`
        : `Read with ${end} fastest${votes > 0 ? `: ${votes} "tightens" or "opens" name a grade after another` : ': a comment says so'}.`
  return { odds, reason: { about: 'fastest', says, places, odds: Math.abs(odds) } }
}

const numberOf = (name: string | undefined): number | null =>
  name !== undefined && /^[1-9]/.test(name) && !name.includes('°') ? Number(name[0]) : null
