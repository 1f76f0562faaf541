import type { Metres, Radians } from '../units.ts'

/** What kind of thing an element says. Kinds are those of the vocabulary table, plus `corner` (grade and side together) and `unknown`. */
export type ElementKind =
  | 'corner'
  | 'length'
  | 'change'
  | 'crest'
  | 'position'
  | 'cut'
  | 'line'
  | 'warning'
  | 'motion'
  | 'object'
  | 'landmark'
  | 'surface'
  | 'width'
  | 'shape'
  | 'link'
  | 'distance'
  | 'start/finish'
  | 'repeat'
  | 'filler'
  | 'unknown'

/** Which deadline an element carries (windows.md §3); `part` is the tightened or opened rest of a corner. */
export type TimingRole = 'brake' | 'turn-in' | 'part' | 'feature' | 'straight' | 'none'

/** 0 never dropped; 1 only when a crunch needs it; 2 not in terse; 3 in verbose only. */
export type DropPriority = 0 | 1 | 2 | 3

export type Side = 'left' | 'right'

/**
 * A corner's grade after the grade system has been applied.
 * `name` is the key of the crew's own grade scale: '5', '5+', 'hairpin', 'square', 'flat', 'medium', '45°' …, as written
 * (in a reversed system '1' is fast). `radius` is the table's default for that name in that system.
 */
export interface Grade {
  readonly name: string
  readonly radius: Metres
  /** Usual turning of such a corner with nothing else said. */
  readonly angle: Radians
}

/** What an element means for the road. Everything a later room needs to know; no room looks at words again. */
export type Meaning =
  | {
      readonly is: 'corner'
      readonly side: Side | null
      readonly grade: Grade | null
    }
  | { readonly is: 'length'; readonly factor: number } // turning × factor: long 1.5, very long 2.2, short 0.6 …
  | {
      readonly is: 'change'
      readonly sense: 'tightens' | 'opens'
      readonly to: Grade | null
      readonly late: boolean
      readonly twice: boolean
    }
  | {
      readonly is: 'crest'
      readonly sense: 'crest' | 'dip' | 'jump' | 'bump'
      readonly relation: 'over' | 'through' | 'after' | 'before' | null
      readonly radius: Metres
    }
  | { readonly is: 'distance'; readonly length: Metres }
  | { readonly is: 'link'; readonly length: Metres } // into 0, and 12 …
  | { readonly is: 'warning'; readonly degree: 1 | 2 | 3 }
  | { readonly is: 'offset'; readonly side: Side | 'middle' | null }
  | { readonly is: 'turn' } // a junction turn: the corner it belongs to leaves the road it was on
  | { readonly is: 'start' }
  | { readonly is: 'finish' }
  | { readonly is: 'said' } // spoken and timed, no effect on the road

export interface NoteElement {
  readonly kind: ElementKind
  /** Canonical value, what two parses are compared by: 'L 5', 'tightens 2', 'over crest', '60', "don't cut". */
  readonly value: string
  /** Exactly the characters [from, to) of the text. */
  readonly text: string
  /** UTF-16 offsets, half-open. */
  readonly from: number
  readonly to: number
  readonly timing: TimingRole
  readonly drop: DropPriority
  readonly meaning: Meaning
  /** Canonical words of the vocabulary rows it was read from, in spoken order; numbers as '#60'. */
  readonly words: readonly string[]
}

export interface Call {
  readonly index: number
  /** From the first element's start to the last one's end, separators inside included. */
  readonly text: string
  readonly from: number
  readonly to: number
  /** 1-based line of the first element. Layout only. */
  readonly line: number
  readonly elements: readonly NoteElement[]
  /** Seconds on the recording's clock at which the call was spoken, when the notes came from captions. */
  readonly timeHint?: number
}

export interface Fix {
  readonly label: string
  readonly from: number
  readonly to: number
  readonly insert: string
}

/** A thing to tell the person about a place in the text. Data only, so that it crosses the wire. */
export interface Diagnostic {
  readonly severity: 'error' | 'warning' | 'info' | 'hint'
  /** 'unknown', 'homophone', 'sound', 'join', 'split-word', 'split-number', 'teen', 'ambiguous', 'odd', 'lost-comma', 'contradiction', 'grade-without-side', … */
  readonly code: string
  readonly message: string
  readonly from: number
  readonly to: number
  readonly fix?: Fix
  /** Further choices, when the second-best reading is close. */
  readonly others?: readonly Fix[]
  /** Certain repairs are taken by "accept all certain"; the rest are only offered. */
  readonly certain?: boolean
  /** Nats-like cost margin to the next different reading; larger is surer. */
  readonly margin?: number
}

export interface GradeSystem {
  readonly style: 'numbers' | 'words' | 'degrees'
  readonly fastest: 'high' | 'low'
  readonly scale: 6 | 9
  readonly order: 'grade-first' | 'side-first'
  readonly signs: boolean
}

/** Why the system was read so: a sentence and the places in the text that voted. */
export interface SystemReason {
  readonly about: keyof GradeSystem | 'dictated'
  readonly says: string
  readonly places: readonly { readonly from: number; readonly to: number }[]
  /** Log odds in favour of what was chosen; below 1 the person should be asked. */
  readonly odds: number
}

/** A row of the crew's own table: replaces every built-in row that has one of its forms. */
export interface CrewWord {
  readonly forms: readonly string[]
  /** Canonical word of the built-in row it stands for, or null for a word of their own that is only said. */
  readonly means: string | null
  readonly spoken?: string
}

export interface NoteSettings {
  /** Anything given here is not detected. */
  readonly system?: Partial<GradeSystem>
  readonly dictated?: boolean
  readonly units?: 'metres' | 'yards'
  readonly crewWords?: readonly CrewWord[]
  /** Look for repairs too (slower; on paste and in idle time). */
  readonly repair?: boolean
  /** Log odds from the road that the highest number is fastest; it counts with what the text shows. */
  readonly fastByRoad?: number
  /** Cost 0…2 of a distance at a share 0…1 of the text, from the road; keeps the parser free of the road. */
  readonly distanceCost?: (metres: Metres, shareOfText: number) => number
}

export interface Notes {
  readonly text: string
  readonly calls: readonly Call[]
  readonly system: GradeSystem
  readonly reasons: readonly SystemReason[]
  readonly dictated: boolean
}

export interface ParsedNotes {
  readonly notes: Notes
  readonly diagnostics: readonly Diagnostic[]
}

export type Wording = 'verbose' | 'standard' | 'terse'

/** One element as it will be said. `say` may hold digits: `phrase` in speech turns them into words. */
export interface WordedElement {
  /** Index into call.elements. */
  readonly element: number
  readonly say: string
}

/** A call in a wording: what is said, in order, and what was left out. */
export interface WordedCall {
  readonly call: number
  readonly wording: Wording
  readonly elements: readonly WordedElement[]
  /** Indices into call.elements of what is not said. */
  readonly dropped: readonly number[]
}
