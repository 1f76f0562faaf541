import type { Class, Match } from './match.ts'
import { LINE_END } from './tokens.ts'

/** Kinds that are no feature: a thing after them begins anew. */
const NOT_A_FEATURE = new Set<Class>([
  'start of text',
  'link',
  'to',
  'distance',
  'warning',
  'start/finish',
  'filler',
  'unknown',
])
const isFeature = (cls: Class) => !NOT_A_FEATURE.has(cls)

/**
 * What it costs to begin an element after another (notes-grammar §3): low where crews do, high where they hardly ever do.
 * `before` is what separates the two.
 */
export function startPrice(previous: Class, next: Match, before: number): number {
  const linked = previous === 'link' || previous === 'to'
  const fresh = previous === 'start of text' || before >= LINE_END
  switch (next.cls) {
    case 'corner': {
      const alone = next.sideOnly ? (previous === 'turn' ? -2.1 : previous === 'length' ? -1.1 : 0) : 0
      if (
        linked ||
        previous === 'distance' ||
        previous === 'warning' ||
        previous === 'turn' ||
        previous === 'start/finish' ||
        previous === 'start of text'
      )
        return alone
      return alone + (previous === 'length' ? 0.15 : before >= 1 ? 0.1 : 0.5)
    }
    case 'distance':
      if (previous === 'to') return 2.2
      if (previous === 'link') return 1.2
      if (previous === 'distance') return 2
      return previous === 'warning' ? 1.5 : 0
    case 'length':
      return isFeature(previous) ? (previous === 'length' ? 1 : 0) : 0.6
    case 'change':
      return isFeature(previous) ? 0 : linked ? 0.3 : 1.5
    case 'cut':
    case 'shape':
    case 'line':
    case 'repeat':
      return isFeature(previous) ? 0 : fresh ? 1 : 1.5
    case 'link':
    case 'to':
      if (isFeature(previous)) return 0
      return previous === 'warning' ? 2 : linked ? 1.2 : 0.8
    case 'start/finish':
      return previous === 'distance' || linked || previous === 'start of text' ? 0 : 0.5
    case 'crest':
    case 'landmark':
      return previous === 'distance' ? 0.3 : linked ? 0.7 : 0.1
    default:
      return 0
  }
}
