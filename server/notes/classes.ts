/** What an element was, as far as the price of the next one depends on it; also places in rows of numbers. */
export const CLASS = {
  begin: 0,
  corner: 1,
  length: 2,
  change: 3,
  crest: 4,
  position: 5,
  cut: 6,
  line: 7,
  warning: 8,
  motion: 9,
  object: 10,
  landmark: 11,
  turn: 12,
  surface: 13,
  width: 14,
  shape: 15,
  link: 16,
  to: 17,
  distance: 18,
  mark: 19,
  repeat: 20,
  filler: 21,
  unknown: 22,
  /** Only as what comes next: a side without grade is cheaper after a turn or a length. */
  sideOnly: 23,
} as const

export const CLASSES = 24

/** Ways an element is built; tells the builder how to read its parts. */
export const FORM = { single: 0, corner: 1, feature: 2, change: 3, keep: 4, entry: 5, distance: 6, unknown: 7 } as const

/** What of the grade system a price depends on; bits, so that a reading can be priced again without being found again. */
export const PRICED_BY = { gradeFirst: 1, sideFirst: 2, bareAngle: 4, aboveSix: 8 } as const
