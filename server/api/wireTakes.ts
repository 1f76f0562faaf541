import { z } from 'zod'
import type { MeasuredPace } from '../rehearsal/measurePace.ts'
import type { ReadingReport } from '../rehearsal/readingReport.ts'
import type { TakeScore } from '../rehearsal/scoreTake.ts'

/** Takes over the wire: a part of wire.ts in a file of its own. Seconds on the stage clock unless said. */

const time = z.number().finite()

/** A call as the plan had it when the take was read: a later change of notes or speed changes no take. */
export const takeCallSchema = z.object({
  index: z.number().int().min(0),
  say: z.string().max(600),
  station: z.number().finite(),
  start: time,
  end: time,
  earliest: time,
  latest: time,
  preferred: time,
  actBy: time,
  /** When its last word with a deadline must be out; null when none has one. */
  deadline: time.nullable(),
})

export const newTakeSchema = z.object({
  /** 'read': a co-driver read into the microphone. 'act': a driver pressed a key at each call. */
  kind: z.enum(['read', 'act']),
  averageSpeed: z.number().positive().finite(),
  wording: z.string().max(40),
  /** Stage time of the first sample (or of the beginning). */
  from: time,
  sampleRate: z.number().int().min(8000).max(96_000),
  calls: z.array(takeCallSchema).max(5000),
  notes: z.enum(['page', 'captions', 'hidden']),
  device: z.string().max(200),
  /** Seconds from a sound of ours to its hearing through loudspeaker and microphone; null when it was not measured. */
  roundTrip: z.number().min(0).max(2).nullable(),
})
export type NewTake = z.infer<typeof newTakeSchema>

export const heardCallSchema = z.object({
  index: z.number().int().min(0),
  from: time,
  to: time,
  kind: z.enum(['read', 'again', 'broken off']),
  confidence: z.number().min(-1000).max(1000),
})

export const heardSchema = z.object({
  calls: z.array(heardCallSchema).max(20_000),
  /** How far loud speech stood over the floor, dB. */
  overFloor: z.number().min(-100).max(200),
  /** Stage time at which the recording ends. */
  until: time,
  /** "Listen here": another word fits better, by so many to one. */
  listen: z.array(z.object({ index: z.number().int(), instead: z.string().max(600), odds: z.number().min(1) })).max(50),
  /** Calls that the voice said because the reader was late. */
  rescued: z.array(z.number().int()).max(5000),
  /** What was wrong with the sound, in words. */
  warnings: z.array(z.string().max(400)).max(20),
  /** Seconds of speech found by loudness alone. */
  speech: z.number().min(0),
})
export type HeardWire = z.infer<typeof heardSchema>

export const pressesSchema = z.object({ presses: z.array(time).max(20_000), until: time })

export interface TakeSummary {
  readonly id: string
  readonly kind: 'read' | 'act'
  /** Seconds since 1970. */
  readonly startedAt: number
  readonly averageSpeed: number
  readonly wording: string
  readonly notes: NewTake['notes']
  readonly seconds: number
  readonly bytes: number
  /** False while it is being recorded, or when it was cut off: what was recorded is kept. */
  readonly finished: boolean
  /** Null until it was listened to. */
  readonly score: TakeScore | null
  readonly warnings: readonly string[]
}

export interface TakeDetail extends TakeSummary {
  readonly about: NewTake
  readonly heard: HeardWire | null
  readonly presses: readonly number[]
}

export interface TakesView {
  readonly takes: readonly TakeSummary[]
  readonly report: ReadingReport
  readonly pace: MeasuredPace | null
  /** Bytes of all takes of this stage, and what is free on its disk (null when the system does not say). */
  readonly storage: { readonly used: number; readonly free: number | null }
}

/** Words of a call with the end of each, seconds after the clip's first sample: what a take is held against. */
export interface ClipWords {
  readonly wordEnds: readonly number[]
  readonly duration: number
}
