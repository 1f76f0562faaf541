import type { Repair } from './lattice.ts'
import type { DropPriority, ElementKind, Meaning, TimingRole } from './notes.ts'

/** What the element before was, as far as the next one's price depends on it. */
export type Class =
  | 'start of text'
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
  | 'turn'
  | 'surface'
  | 'width'
  | 'shape'
  | 'link'
  | 'to'
  | 'distance'
  | 'start/finish'
  | 'repeat'
  | 'filler'
  | 'unknown'

/** One element read from a node of the lattice, with its own cost. */
export interface Match {
  readonly cls: Class
  readonly kind: ElementKind
  readonly value: string
  readonly meaning: Meaning
  readonly timing: TimingRole
  readonly drop: DropPriority
  readonly words: readonly string[]
  readonly from: number
  readonly to: number
  readonly next: number
  readonly cost: number
  readonly repairs: readonly Repair[]
  /** A corner without grade or side is cheaper after a junction turn. */
  readonly sideOnly?: boolean
}
