import { z } from 'zod'
import type { RoadLine } from '../route/route.ts'

/** What crosses the wire about a stage's road files and what a crew makes of them. SI units. */

const stretchSchema = z
  .object({ from: z.number().min(0).finite(), to: z.number().positive().finite() })
  .refine(({ from, to }) => from + 10 < to, 'start and finish must be more than 10 m apart, the start first')
/** Further files of one road, and lines chosen of them. */
export const MOST_ADDED = 50
export const MOST_LINES = 500

const linesSchema = z.array(z.number().int().min(0)).max(MOST_LINES)

/** Of stage.json: the road files are never changed, only what is taken from them. */
export const roadSettings = {
  /** Stations of the whole road, also where it is driven the other way; null is all of it. */
  stretch: stretchSchema.nullable().optional(),
  reversed: z.boolean().nullable().optional(),
  /** Lines of the files that are used, by number; null is the longest road in them. */
  lines: linesSchema.nullable().optional(),
  /** Further files of the same road, beside route.*. */
  roads: z
    .array(
      z.object({
        file: z.string().max(40),
        name: z.string().max(200),
        use: z.enum(['join', 'average']).default('join'),
      }),
    )
    .max(MOST_ADDED)
    .optional(),
}

/** A change of what is taken from the road files; what is absent stays as it is. */
export const roadChangeSchema = z.object({
  stretch: roadSettings.stretch,
  reversed: z.boolean().optional(),
  lines: linesSchema.min(1).nullable().optional(),
  /** A further file left out of the road again; it stays in the stage's folder. */
  without: z.string().max(40).optional(),
})
export type RoadChange = z.infer<typeof roadChangeSchema>

const fileUse = z.enum(['instead', 'join', 'average'])
/** What a new road file is for: in the place of all there are, joined to them, or another log of the same road to be averaged in. */
export type RoadFileUse = z.infer<typeof fileUse>

export const roadFileSchema = z.object({
  // The end of a very long name says what kind of file it is.
  name: z
    .string()
    .min(1)
    .transform((name) => name.slice(-200)),
  use: fileUse.default('instead'),
})

/** The whole road of a stage's files, for choosing from. */
export interface RoadChoice {
  readonly length: number
  readonly source: 'measured' | 'line' | 'notes'
  /** Stations between points of the drawing; x east, y north. */
  readonly step: number
  readonly x: readonly number[]
  readonly y: readonly number[]
  /** The part that is the stage, stations of the whole road. */
  readonly from: number
  readonly to: number
  readonly reversed: boolean
  readonly chosen: boolean
  readonly lines: readonly RoadLine[]
  /** The first is route.*, the others are named in stage.json. */
  readonly files: readonly { readonly file: string; readonly name: string; readonly use: 'join' | 'average' }[]
  readonly losses: Readonly<Record<string, number>>
  /** What the last change was, in words; null when there is none to take back. */
  readonly undo: string | null
  /** What the change just made did to places put by hand. */
  readonly told: string | null
}

/** Lines of the answer to a road file (newline-delimited JSON): what is being done, and at last the road or what is wrong. */
export type RoadNews =
  | { readonly doing: string; readonly done: number }
  | { readonly road: RoadChoice }
  | { readonly problem: { readonly status: number; readonly detail: string } }
