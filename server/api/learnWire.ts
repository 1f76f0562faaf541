import { z } from 'zod'
import type { DayPlan } from '../drill/dayPlan.ts'
import type { Stretch } from '../drill/drill.ts'
import type { Forecast } from '../drill/forecast.ts'
import type { Gap } from '../drill/gaps.ts'
import type { Question } from '../drill/question.ts'
import type { Jump } from '../drill/rideCosts.ts'
import { targetSchema } from './wire.ts'

/** What crosses the wire about learning a stage by heart. Seconds, metres, seconds since 1970; shares 0…1. */

const kind = z.enum(['say', 'follows', 'tightens', 'order', 'moment'])
export const kindSchema = kind

/** An answer as it was given. What can be judged here is judged here: typed and chosen texts; a grade of the crew's own counts for `self` and `voice`. */
export const answerSchema = z.object({
  /** Made by the page, so that an answer sent twice counts once. */
  id: z.string().regex(/^[\w-]{8,64}$/),
  call: z.number().int().min(0),
  kind: kind.default('say'),
  how: z.enum(['listen', 'voice', 'self', 'typed', 'chosen']),
  grade: z.enum(['in time', 'late', 'no']).nullable().optional(),
  /** Typed or chosen text; for `order` the calls in the order given, one a line. */
  text: z.string().max(2000).optional(),
  claimed: z.boolean().optional(),
  /** Spent on it; what it is judged by where `took` is absent. */
  seconds: z.number().min(0).max(3600),
  /** From the question to the answer, where that is not all the time spent: on a ride. */
  took: z.number().min(0).max(3600).optional(),
  /** Right, but in the crew's own word hard: counts as late. */
  hard: z.boolean().optional(),
  pace: z.enum(['full', 'condensed', 'desk']).default('desk'),
})
export const answersSchema = z.object({
  answers: z.array(answerSchema).min(1).max(2000),
  zone: z.string().max(60).optional(),
  /** The kind to ask next. */
  kind: kind.default('say'),
})
export type AnswerSent = z.input<typeof answerSchema>
export type AnswerTaken = z.output<typeof answerSchema>

/** A ride from memory as it is asked for: the target of the plan ridden, and the call from which choices are wanted (where the ride begins when absent). */
export const rideSchema = z.object({
  target: targetSchema.optional(),
  from: z.number().int().min(0).optional(),
  zone: z.string().max(60).optional(),
})

export interface RideCall {
  /** Index in the notes. */
  readonly call: number
  readonly gap: Gap
  /** With its weightiest words blanked, where only those are hidden. */
  readonly blanked: string | null
  /** Stage times between which a condensed ride leaves the road out after it; null where nothing is saved. */
  readonly jump: Jump | null
  /** Four to choose among; empty far ahead. */
  readonly choices: readonly string[]
  /** Calls with one meaning are one answer. */
  readonly meaning: string
  /** To be chosen even where the crew judges itself. */
  readonly check: boolean
  /** Seconds within which an answer typed or chosen is in time. */
  readonly limits: { readonly typed: number; readonly chosen: number }
}

export interface RideView {
  /** Calls [0, heard) were heard before; the rest are new. */
  readonly heard: number
  /** Index in the notes of the call a ride from memory begins at. */
  readonly position: number
  /** Seconds of today still to be ridden at full stage time. */
  readonly fullLeft: number
  readonly calls: readonly RideCall[]
}

const date = z.string().regex(/^\d{4}-\d{2}-\d{2}$/)
export const eventSchema = z.object({
  name: z.string().trim().min(1).max(120),
  date,
  time: z.string().regex(/^\d{2}:\d{2}$/),
  zone: z.string().min(1).max(60),
  minutes: z.number().min(1).max(600),
  /** The morning of the event is free for a last ride. */
  morning: z.boolean(),
  stages: z
    .array(z.object({ stage: z.string().min(1).max(80), recce: date.nullable() }))
    .min(1)
    .max(100),
})
export type EventContent = z.infer<typeof eventSchema>

export const offerSchema = z.object({ call: z.number().int().min(0), from: z.string().max(40).nullable() })

export const walkFormatSchema = z.enum(['mp3', 'wav'])

export const logSchema = z.object({
  lines: z
    .array(
      z.object({
        id: z.string().regex(/^[\w-]{1,64}$/),
        item: z.string().max(80),
        device: z.string().min(1).max(40),
        turn: z.number().int().min(0),
        at: z.number().finite(),
        how: z.enum(['listen', 'voice', 'self', 'typed', 'chosen', 'edited']),
        grade: z.enum(['in time', 'late', 'no']).nullable(),
        seconds: z.number().min(0).max(3600),
        said: z.string().max(2000),
        day: date,
        setBack: z.boolean(),
        claimed: z.boolean().nullable(),
      }),
    )
    .max(200_000),
  /** Calls of the copy it comes from; absent in logs of this same library. */
  calls: z
    .array(
      z.object({
        id: z.string().regex(/^\w{1,40}$/),
        position: z.number().int().min(0).nullable(),
        text: z.string().max(2000),
        key: z.string().max(2000),
        before: z.string().max(2000),
        after: z.string().max(2000),
      }),
    )
    .max(20_000)
    .default([]),
})
export type LearntLog = z.input<typeof logSchema>

export interface Graded {
  readonly call: number
  readonly grade: 'in time' | 'late' | 'no' | null
  readonly answer: string
  /** The clock stood before the last answer: it counts as one second after it. */
  readonly setBack: boolean
}

export interface AnswersTaken {
  readonly graded: readonly Graded[]
  readonly next: Question | null
}

export interface LearnCall {
  readonly call: number
  readonly text: string
  readonly say: string
  /** Stretch of road it stands for, from its feature to the next one's. */
  readonly from: number
  readonly to: number
  /** Chance that it is known on the day if nothing more is practised. */
  readonly known: number
  readonly answers: number
  readonly met: number
  readonly changed: boolean
  readonly gap: Gap
  /** Calls it may have been before, for the crew to say. */
  readonly offered: readonly { readonly id: string; readonly text: string; readonly met: number }[]
  readonly moment: boolean
}

export interface CurvePoint {
  readonly date: string
  /** Of last evening's calls asked again that day, the share that was right. */
  readonly asked: number | null
  /** Forecast with the plan carried out, and if nothing more is practised. */
  readonly planned: number | null
  readonly stopped: number | null
}

export interface EventView extends EventContent {
  readonly id: string
}

export interface LearnView {
  readonly stage: string
  readonly title: string
  readonly today: string
  readonly event: EventView | null
  readonly calls: readonly LearnCall[]
  readonly forecast:
    | (Forecast & { readonly inTime: number; readonly lastNight: number | null; readonly stopped: number })
    | null
  readonly curve: readonly CurvePoint[]
  readonly plan: DayPlan | null
  /** Today's sitting, as it would be ridden now. */
  readonly sitting: readonly Stretch[]
  readonly streak: number
  readonly doneToday: number
  readonly ride: { readonly heard: number; readonly position: number }
  /** Two days of a ride with more than 95 % in time: it may be enough. */
  readonly ample: boolean
  readonly overClaim: number
  readonly problem: string | null
}

export interface EventStageView {
  readonly stage: string
  readonly title: string
  readonly recce: string | null
  readonly calls: number
  /** If nothing more is practised. */
  readonly forecast: Forecast | null
  /** Seconds of today's minutes that fall to it, and how many of them are done. */
  readonly seconds: number
  readonly done: number
  readonly rested: number | null
  readonly problem: string | null
}

export interface EventOverview extends Omit<EventView, 'stages'> {
  readonly stages: readonly EventStageView[]
}
