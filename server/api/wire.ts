import { z } from 'zod'
import type { ParsedNotes } from '../notes/notes.ts'
import type { Finding, Placement } from '../placement/placement.ts'
import type { PlanDocument as BarePlan } from '../rehearsal/planDocument.ts'
import type { RoadFeature } from '../route/route.ts'
import type { PlanWish } from '../sessions/clubPlan.ts'
import { crewWordsSchema } from './wireNotes.ts'
import { roadSettings } from './wireRoad.ts'

/** Everything that crosses the wire. SI units throughout; times in seconds since 1970 where they are dates. */

const positive = z.number().positive().finite()
export const targetSchema = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('average'), speed: positive }),
  z.object({ kind: z.literal('time'), time: positive }),
  z.object({ kind: z.literal('commitment'), commitment: positive.max(1) }),
])

const gradeSystemSchema = z.object({
  style: z.enum(['numbers', 'words', 'degrees']),
  fastest: z.enum(['high', 'low']),
  scale: z.union([z.literal(6), z.literal(9)]),
  order: z.enum(['grade-first', 'side-first']),
  signs: z.boolean(),
})

export const wordingSchema = z.enum(['verbose', 'standard', 'terse', 'automatic'])

const leftOutSchema = z
  .array(
    z.object({ call: z.number().int().min(0), text: z.string().max(400), element: z.number().int().min(0).max(100) }),
  )
  .max(2000)
export const limitsSchema = z
  .array(
    z
      .object({ from: z.number().min(0), to: positive, speed: positive.min(1).max(150) })
      .refine(({ from, to }) => from < to, 'a limit must begin before it ends'),
  )
  .max(100)
/** A person's own reading: syllables a second inside calls, pause after each in seconds. */
export const paceSchema = z.object({ syllablesPerSecond: z.number().min(0.5).max(20), pause: z.number().min(0).max(5) })

/** How a stage is read and run: stage.json beside its title. Unknown keys are kept. */
export const settingsSchema = z.looseObject({
  gradeSystem: gradeSystemSchema.partial().optional(),
  /** Absent or null: as the text shows it. */
  dictated: z.boolean().nullable().optional(),
  distances: z.enum(['metres', 'yards']).nullable().optional(),
  units: z.enum(['metric', 'miles']).default('metric'),
  car: z.string().max(60).default('four-wheel-drive'),
  surface: z.string().max(60).default('gravel'),
  target: targetSchema.default({ kind: 'average', speed: 80 / 3.6 }),
  voice: z.string().max(60).default('en'),
  rate: z.number().min(80).max(450).default(200),
  pitch: z.number().min(0).max(100).default(50),
  wording: wordingSchema.default('standard'),
  lead: z.number().min(0).max(30).default(2),
  reaction: z.number().min(0).max(10).default(0.75),
  length: positive.max(1_000_000).nullable().optional(),
  crewWords: crewWordsSchema.optional(),
  /** Share of speed lost from which the audit misses a caution; absent, null or 0 is not looked at. */
  cautionShare: z.number().min(0).max(0.95).nullable().optional(),
  pins: z.array(z.string().max(80)).max(500).default([]),
  waiting: z.number().int().min(0).max(12).default(3),
  ahead: z.number().min(1).max(60).default(8),
  leftOut: leftOutSchema.default([]),
  /** The crew's own list of how words are said, and the breath after each call in seconds. */
  sayAs: z
    .array(z.object({ write: z.string().min(1).max(40), say: z.string().min(1).max(80) }))
    .max(300)
    .default([]),
  pause: z.number().min(0).max(3).nullable().optional(),
  limits: limitsSchema.default([]),
  ...roadSettings,
  pace: paceSchema.nullable().default(null),
})
export type StageSettings = z.infer<typeof settingsSchema>

export const anchorSchema = z.object({
  call: z.number().int().min(0),
  text: z.string().max(400),
  station: z.number().min(0).finite(),
})
export const anchorsSchema = z.array(anchorSchema).max(5000)

export const newStageSchema = z.object({
  title: z.string().trim().min(1).max(120),
  notes: z.string().max(2_000_000).optional(),
})
export const saveNotesSchema = z.object({ text: z.string().max(2_000_000), base: z.number().int().min(0) })
/** Some settings, each checked as a whole set would be; what is not given stays absent, so that no default overwrites what a crew chose. */
const someSettingsSchema = z.record(z.string(), z.unknown()).transform((given, context) => {
  const parsed = settingsSchema.safeParse(given)
  if (parsed.success) return Object.fromEntries(Object.entries(parsed.data).filter(([key]) => key in given))
  for (const { path, message } of parsed.error.issues) context.addIssue({ code: 'custom', path: [...path], message })
  return z.NEVER
})

export const patchStageSchema = z.object({
  title: z.string().trim().min(1).max(120).optional(),
  settings: someSettingsSchema.optional(),
})

/** A run as asked for; what is absent is the stage's own. */
export const planRequestSchema = z.object({
  target: targetSchema.optional(),
  wording: wordingSchema.optional(),
  surface: z.string().max(60).optional(),
  car: z.string().max(60).optional(),
  voice: z.string().max(60).optional(),
  rate: z.number().min(80).max(450).optional(),
  lead: z.number().min(0).max(30).optional(),
  reaction: z.number().min(0).max(10).optional(),
  from: z.number().min(0).optional(),
  to: z.number().min(0).optional(),
  waiting: z.number().int().min(0).max(12).optional(),
  ahead: z.number().min(1).max(60).optional(),
  leftOut: leftOutSchema.optional(),
  limits: limitsSchema.optional(),
  /** null: the voice's own lengths. */
  pace: paceSchema.nullable().optional(),
  /** Explanations, ways out and the re-solved ceiling too: some tens of milliseconds. */
  full: z.boolean().optional(),
})
export type PlanRequest = z.infer<typeof planRequestSchema>

const id = z.number().int().min(0)
const stage = z.string().min(1).max(80)

/** What a page may say on the live socket. */
export const clientMessageSchema = z.discriminatedUnion('type', [
  z.object({
    type: z.literal('notes.parse'),
    id,
    stage,
    text: z.string().max(2_000_000),
    repair: z.boolean().optional(),
  }),
  z.object({ type: z.literal('plan.change'), id, stage, request: planRequestSchema }),
  z.object({ type: z.literal('speech.prepare'), id, stage, request: planRequestSchema }),
])
export type ClientMessage = z.infer<typeof clientMessageSchema>

export interface StageSummary {
  readonly id: string
  readonly title: string
  readonly length: number | null
  readonly calls: number
  readonly hasRoute: boolean
  readonly surface: string
  readonly target: z.infer<typeof targetSchema>
  readonly units: 'metric' | 'miles'
  readonly updatedAt: number
  /** What is wrong with the stage's folder, in words. */
  readonly problem: string | null
}

export interface StageDetail {
  readonly id: string
  readonly title: string
  readonly settings: StageSettings
  readonly notes: string
  readonly revision: number
  readonly route: { readonly file: string } | null
  readonly anchors: readonly z.infer<typeof anchorSchema>[]
}

export interface VersionSummary {
  readonly id: string
  readonly savedAt: number
  readonly words: number
}

export interface RoadTable {
  readonly step: number
  readonly length: number
  readonly source: 'measured' | 'line' | 'notes'
  readonly closed: boolean
  readonly x: readonly number[]
  readonly y: readonly number[]
  readonly z: readonly number[]
  readonly heading: readonly number[]
  readonly curvature: readonly number[]
  readonly features: readonly RoadFeature[]
  readonly noise: { readonly position: number | null; readonly curvature: number | null }
  readonly losses: Readonly<Record<string, number>>
}

export interface PlacementView {
  readonly placement: Placement
  readonly findings: readonly Finding[]
  /** Text of each call, as placed. */
  readonly texts: readonly string[]
}

/** Notes drawn up from the road: text whose first line says that it is a draft, what it calls and what it leaves out. */
export interface DraftView {
  readonly text: string
  readonly corners: number
  readonly left: number
}

export interface WayOutView {
  readonly sentence: string
  /** Seconds it leaves over. */
  readonly left: number
  readonly kind: 'shorten' | 'faster' | 'sooner' | 'slower'
  readonly rate?: number
  readonly speed?: number
  readonly from?: number
  readonly to?: number
  readonly settings?: { readonly waiting?: number; readonly ahead?: number }
  readonly drops?: readonly {
    readonly call: number
    readonly element: number
    readonly text: string
    readonly gain: number
  }[]
}

/** The plan document and what the pages draw besides. */
export type PlanDocument = BarePlan & {
  /** Clips of the spoken count, said a second apart, the last on the start line; in plans whose voice was prepared. */
  readonly countIn?: readonly string[]
  /** Sentences of why each call starts when it does, parallel to calls; only in full plans. */
  readonly explain?: readonly (readonly string[])[]
  /** What the ceiling means for this car; only in full plans. */
  readonly fits?: FitRow['fits']
  /** Ways out of each crunch, parallel to crunches; only in full plans. */
  readonly ways?: readonly (readonly WayOutView[])[]
}

export interface FitRow {
  readonly wording: 'verbose' | 'standard' | 'terse' | 'automatic'
  readonly lateCalls: number
  readonly lateSeconds: number
  readonly crunches: number
  readonly words: number
  readonly wordsPerSecond: number
  readonly speakingShare: number
  /** Each call: start, end, seconds late. */
  readonly spoken: readonly (readonly [start: number, end: number, late: number])[]
  readonly ceiling: { readonly averageSpeed: number; readonly first: number; readonly last: number } | null
  /** Up to what speed it fits: the ceiling, any speed this car can do here, or none. */
  readonly fits: 'to ceiling' | 'any speed' | 'no speed'
}

export interface FitDocument {
  readonly wordings: readonly FitRow[]
  readonly sweep: readonly {
    readonly wording: string
    readonly points: readonly {
      readonly averageSpeed: number
      readonly lateSeconds: number | null
      readonly crunches: number | null
    }[]
  }[]
}

export interface Problem {
  readonly type: string
  readonly title: string
  readonly status: number
  readonly detail: string
  readonly instance?: string
}

export type ServerMessage =
  | { readonly type: 'notes.parsed'; readonly id: number; readonly parsed: ParsedNotes }
  | { readonly type: 'plan.ready'; readonly id: number; readonly plan: PlanDocument }
  | { readonly type: 'speech.progress'; readonly id: number; readonly done: number; readonly total: number }
  | { readonly type: 'speech.ready'; readonly id: number; readonly plan: PlanDocument }
  | { readonly type: 'problem'; readonly id: number; readonly problem: Problem }

/** A plan and its road as a club's pages get them. */
export interface ClubPlanDocument {
  readonly stage: string
  readonly wish: PlanWish
  readonly units: 'metric' | 'miles'
  readonly plan: PlanDocument
  readonly road: RoadTable
}

/** What the host's own page needs to open an evening. */
export interface ClubOverview {
  readonly rooms: readonly {
    readonly id: string
    readonly title: string
    readonly code: string
    readonly since: number
    readonly members: number
  }[]
  readonly lan: { readonly open: boolean; readonly addresses: readonly string[] }
  /** Served over https with a certificate. */
  readonly secure: boolean
}
