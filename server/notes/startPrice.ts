import { CLASS, CLASSES } from './classes.ts'

const NOT_A_FEATURE: readonly number[] = [
  CLASS.begin,
  CLASS.link,
  CLASS.to,
  CLASS.distance,
  CLASS.warning,
  CLASS.mark,
  CLASS.filler,
  CLASS.unknown,
]
/** After these a corner needs nothing to announce it. */
const READY: readonly number[] = [
  CLASS.begin,
  CLASS.link,
  CLASS.to,
  CLASS.distance,
  CLASS.warning,
  CLASS.turn,
  CLASS.mark,
]

/** Levels of what stands between: nothing, a comma or full stop, a line end or more. */
export const LEVELS = 3

/**
 * What it costs to begin an element after another: low where crews do, high where they hardly ever do (about 3). Costs are nats-like and set by
 * hand. `level` is what separates the two.
 */
function startPrice(previous: number, next: number, level: number): number {
  const linked = previous === CLASS.link || previous === CLASS.to
  const feature = !NOT_A_FEATURE.includes(previous)
  const fresh = previous === CLASS.begin || level >= 2
  switch (next) {
    case CLASS.corner:
    case CLASS.sideOnly: {
      const alone = next === CLASS.corner ? 0 : previous === CLASS.turn ? -2.1 : previous === CLASS.length ? -1.1 : 0
      if (READY.includes(previous)) return alone
      return alone + (previous === CLASS.length ? 0.15 : level >= 1 ? 0.1 : 0.5)
    }
    case CLASS.distance:
      if (previous === CLASS.to) return 2.2
      if (previous === CLASS.link) return 1.2
      if (previous === CLASS.distance) return 2
      return previous === CLASS.warning ? 1.5 : 0
    case CLASS.length:
      return feature ? (previous === CLASS.length ? 1 : 0) : 0.6
    case CLASS.change:
      return feature ? 0 : linked ? 0.3 : 1.5
    case CLASS.cut:
    case CLASS.shape:
    case CLASS.line:
    case CLASS.repeat:
      return feature ? 0 : fresh ? 1 : 1.5
    case CLASS.link:
    case CLASS.to:
      if (feature) return 0
      return previous === CLASS.warning ? 2 : linked ? 1.2 : 0.8
    case CLASS.mark:
      return previous === CLASS.distance || linked || previous === CLASS.begin ? 0 : 0.5
    case CLASS.object:
    case CLASS.surface:
    case CLASS.width:
      return previous === CLASS.begin ? 0.7 : 0
    case CLASS.crest:
    case CLASS.landmark:
      return previous === CLASS.distance ? 0.3 : linked ? 0.7 : 0.1
    default:
      return 0
  }
}

/** All start prices: place (level × CLASSES + next) × CLASSES + previous. */
export const START_PRICES = Float64Array.from({ length: LEVELS * CLASSES * CLASSES }, (_, i) =>
  startPrice(i % CLASSES, Math.floor(i / CLASSES) % CLASSES, Math.floor(i / (CLASSES * CLASSES))),
)
