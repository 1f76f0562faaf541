/** What kind of word it is. A corner is built of grade, sign, direction and degrees; a crest of relation, size and crest. */
export type WordKind =
  | 'grade'
  | 'sign'
  | 'direction'
  | 'degrees'
  | 'shape'
  | 'length'
  | 'change'
  | 'crest'
  | 'size'
  | 'relation'
  | 'keep'
  | 'position'
  | 'side'
  | 'cut'
  | 'line'
  | 'warning'
  | 'motion'
  | 'object'
  | 'landmark'
  | 'surface'
  | 'width'
  | 'link'
  | 'unit'
  | 'distance'
  | 'start/finish'
  | 'repeat'
  | 'filler'

/** What a word does to the road; lengths in metres, angles in degrees, factors without unit. */
export interface GeometryEffect {
  readonly effect:
    | 'radius'
    | 'angle'
    | 'vertical'
    | 'side'
    | 'offset'
    | 'grip'
    | 'width'
    | 'gradient'
    | 'junction'
    | 'straight'
    | 'gap'
    | 'mark'
    | 'none'
  readonly radius?: number
  readonly angle?: number
  readonly factor?: number
  readonly length?: number
  readonly count?: number
  readonly steps?: number
  readonly ramp?: number
  readonly at?: number
  readonly to?: string
  readonly side?: number | string
  readonly slope?: number
  readonly metres?: number
}

/** One meaning a row. Everything that is done with a word is said here: no other file may look at words. */
export interface VocabularyRow {
  /** Canonical; goes into values. */
  readonly word: string
  /** What is said in values where `word` had to differ to stay unique. */
  readonly label?: string
  readonly kind: WordKind
  readonly forms: readonly string[]
  readonly shorthand?: readonly string[]
  /** Said aloud; absent is `label` or `word`. */
  readonly spoken?: string
  /** A shorter thing to say in the terse wording. */
  readonly terse?: string
  readonly geometry: GeometryEffect
  /** The deadline the element carries. */
  readonly timing: 'brake' | 'turn-in' | 'feature' | 'straight' | 'none'
  /** 0 never dropped; 1 only when a crunch needs it; 2 not in terse; 3 verbose only. */
  readonly drop: 0 | 1 | 2 | 3
  readonly attach: 'prev' | 'next' | 'self' | 'link'
  /** 0 common … 2 rare: prices guesses only, never what was typed. */
  readonly rarity: 0 | 1 | 2
  /** Of a relation: what it joins best; absent is nothing in particular. */
  readonly suits?: 'crest' | 'surface' | 'any'
  /** Of a crest-like thing: what the car feels; absent is a crest, or a dip where the radius is negative. */
  readonly sense?: 'jump' | 'bump'
  /** Of a filler: may stand between a relation and its noun. */
  readonly article?: true
  /** Of a filler: a noise of thinking, read over and never said. */
  readonly hesitation?: true
}
