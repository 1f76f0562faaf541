import { z } from 'zod'
import type { RowRemark } from '../notes/crewTable.ts'

const tableOf = (forms: z.ZodArray<z.ZodString>) =>
  z.array(z.object({ forms, means: z.string().max(60).nullable(), spoken: z.string().max(80).optional() })).max(500)

/** A table as it is typed: what is wrong with a row is told by its row. */
export const typedWordsSchema = tableOf(z.array(z.string().max(400)).max(200))

/** A crew's own table of words. */
export const crewWordsSchema = tableOf(z.array(z.string().min(1).max(40)).min(1).max(10))

export interface VocabularyEntry {
  readonly word: string
  readonly kind: string
  readonly forms: readonly string[]
  readonly shorthand: readonly string[]
  readonly help: string
  /** The built-in row, as a crew's own word may stand for it. */
  readonly row?: string
  /** True for a row of the crew's own table. */
  readonly own?: true
}

/** A crew's own table after it was sent: kept only where no row has a problem. */
export interface CrewTableView {
  readonly kept: boolean
  readonly problems: readonly RowRemark[]
  readonly notices: readonly RowRemark[]
}

/** Captions taken as notes: their text, and the first thing that could not be read. */
export interface CaptionsTaken {
  readonly text: string
  readonly cues: number
  readonly fault: string | null
  readonly faults: number
}
