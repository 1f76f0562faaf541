import type { Call, Grade, Notes, Side } from '../notes/notes.ts'
import type { Metres, Radians } from '../units.ts'

/** A call as the road could show it. */
export interface CallView {
  readonly kind: 'corner' | 'crest' | 'line' | 'start' | 'finish'
  readonly side: Side | null
  readonly grade: Grade | null
  /** 0 nothing said, 1 long, 2 very long and more. */
  readonly long: 0 | 1 | 2
  readonly hairpin: boolean
  readonly flat: boolean
  readonly change: {
    readonly sense: 'tightens' | 'opens'
    readonly grade: Grade | null
    readonly element: number
  } | null
  readonly crest: boolean
  /** Turning such a corner usually has, with its length word. */
  readonly usualAngle: Radians
  /** Called distance after it; 0 when none is said. */
  readonly distance: Metres
  /** Called link after it, or null. */
  readonly link: Metres | null
}

/** Length words from this factor on are long, and very long (vocabulary: long 1.6, very long 2.2). */
const LONG = 1.45
const VERY_LONG = 2
/** Half a right angle and more besides: a corner of which nothing is known. */
const UNKNOWN_ANGLE: Radians = 0.8

export function callView(call: Call): CallView {
  let side: Side | null = null
  let grade: Grade | null = null
  let hasCorner = false
  let factor = 1
  let change: CallView['change'] = null
  let crest = false
  let own: 'start' | 'finish' | null = null
  let distance = 0
  let link: Metres | null = null
  call.elements.forEach((element, e) => {
    const { meaning } = element
    switch (meaning.is) {
      case 'corner':
        hasCorner = true
        side = meaning.side
        grade = meaning.grade
        break
      case 'length':
        factor = meaning.factor
        break
      case 'change':
        change ??= { sense: meaning.sense, grade: meaning.to, element: e }
        break
      case 'crest':
        if (meaning.sense !== 'dip') crest = true
        break
      case 'distance':
        distance += meaning.length
        break
      case 'link':
        link = (link ?? 0) + meaning.length
        break
      case 'start':
      case 'finish':
        own = meaning.is
        break
      default:
    }
  })
  const known = grade as Grade | null
  const name = known?.name ?? ''
  return {
    kind: hasCorner ? 'corner' : (own ?? (crest ? 'crest' : 'line')),
    side,
    grade: known,
    long: factor >= VERY_LONG ? 2 : factor >= LONG ? 1 : 0,
    hairpin: name.includes('hairpin'),
    flat: name.includes('flat'),
    change,
    crest,
    usualAngle: (known?.angle ?? UNKNOWN_ANGLE) * Math.min(2.4, factor),
    distance,
    link,
  }
}

export const callViews = (notes: Notes): CallView[] => notes.calls.map(callView)
