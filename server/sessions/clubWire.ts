import { z } from 'zod'
import type { EpochTime, StageTime } from '../units.ts'

/** Everything that crosses a club's socket at /club. SI units; times are the server's, seconds since 1970, unless they are stage times. */

export const MOST_NAME = 40
const name = z.string().max(200)
const code = z.string().min(4).max(16)
const secret = z.string().min(8).max(120)
const id = z.number().int().min(0).max(1e9)
const moment = z.number().finite().min(0).max(1e11)

export const roleSchema = z.enum(['trainer', 'co-driver', 'driver', 'watcher'])
export type Role = z.infer<typeof roleSchema>

export const modeSchema = z.enum(['listen', 'turns', 'taps', 'quiz', 'vote', 'relay'])
export type Mode = z.infer<typeof modeSchema>

const speed = z.number().min(1).max(120)

/** What a trainer may do. */
export const actSchema = z.discriminatedUnion('do', [
  z.strictObject({
    do: z.literal('run'),
    stage: z.string().regex(/^[a-z0-9-]{1,80}$/),
    mode: modeSchema,
    average: speed.optional(),
    wording: z.enum(['verbose', 'standard', 'terse', 'automatic']).optional(),
    from: z.number().min(0).max(1e6).optional(),
    to: z.number().min(0).max(1e6).optional(),
    /** Calls, by index, at which the floor passes; absent: spread evenly. */
    marks: z.array(z.number().int().min(0).max(5000)).max(200).optional(),
  }),
  z.strictObject({ do: z.literal('start') }),
  z.strictObject({ do: z.literal('pause') }),
  z.strictObject({ do: z.literal('resume') }),
  z.strictObject({ do: z.literal('seek'), pos: z.number().min(-60).max(1e5) }),
  z.strictObject({ do: z.literal('speed'), average: speed }),
  z.strictObject({ do: z.literal('finish') }),
  z.strictObject({ do: z.literal('floor'), turn: z.number().int().min(0).max(500), member: z.string().max(40) }),
  z.strictObject({ do: z.literal('lock'), locked: z.boolean() }),
  z.strictObject({ do: z.literal('kick'), member: z.string().max(40) }),
  z.strictObject({ do: z.literal('hand-over'), member: z.string().max(40) }),
])
export type Act = z.infer<typeof actSchema>

/** What a page may say. */
export const clubMessageSchema = z.discriminatedUnion('type', [
  z.strictObject({ type: z.literal('t'), id }),
  z.strictObject({
    type: z.literal('join'),
    code,
    name,
    crew: name.optional(),
    role: roleSchema,
    /** Whether this crew's results may stand on the board under its name. */
    shown: z.boolean(),
    key: secret.optional(),
  }),
  z.strictObject({ type: z.literal('resume'), token: secret, boot: z.string().max(40), seen: id }),
  z.strictObject({ type: z.literal('missed'), seen: id }),
  z.strictObject({
    type: z.literal('ready'),
    plan: z.string().max(80).nullable(),
    floor: z.number().min(0).max(60),
    exact: z.boolean(),
  }),
  z.strictObject({ type: z.literal('tap'), id, at: moment }),
  z.strictObject({
    type: z.literal('answer'),
    id,
    call: z.number().int().min(0).max(5000),
    choice: z.number().int().min(0).max(9),
    at: moment,
  }),
  z.strictObject({ type: z.literal('vote'), id, choice: z.enum(['verbose', 'terse']) }),
  z.strictObject({ type: z.literal('do'), id, act: actSchema }),
])
export type ClubMessage = z.infer<typeof clubMessageSchema>

/** From `at` on the stage clock runs from `pos` (rate 1) or stands there (rate 0), on plan `plan`. */
export interface Segment {
  readonly at: EpochTime
  readonly pos: StageTime
  readonly rate: 0 | 1
  readonly plan: string
}

/** Calls [from, to) of the plan are read by a member, or by nobody yet. */
export interface Turn {
  readonly from: number
  readonly to: number
  readonly member: string | null
  readonly name: string
}

/** Asked from `opens` to `closes` (stage times): which call comes next? */
export interface QuizItem {
  readonly call: number
  readonly opens: StageTime
  readonly closes: StageTime
  readonly choices: readonly string[]
}

export interface PlanRef {
  readonly id: string
  readonly begins: StageTime
  readonly ends: StageTime
  readonly label: string
}

export interface RunView {
  readonly id: number
  readonly mode: Mode
  readonly title: string
  /** Plans in the order in which they are heard: one, or two where wordings are compared. */
  readonly plans: readonly PlanRef[]
  readonly turns: readonly Turn[]
  readonly quiz: readonly QuizItem[]
  /** Whether phones speak the calls. */
  readonly voice: boolean
}

export interface BoardRow {
  readonly name: string
  readonly taps: number
  readonly missed: number
  /** Seconds, late positive; null without taps. */
  readonly mean: number | null
  readonly spread: number | null
  readonly right: number
  readonly asked: number
}

/** Shown between runs. Names only of those who agreed. */
export interface Board {
  readonly run: number
  readonly mode: Mode
  readonly title: string
  readonly histogram: { readonly from: number; readonly step: number; readonly counts: readonly number[] }
  readonly early: number
  readonly onTime: number
  readonly late: number
  readonly missed: number
  readonly rows: readonly BoardRow[]
  /** How many took part without their name on the board. */
  readonly unnamed: number
  readonly bestRecovery: { readonly name: string; readonly seconds: number } | null
  readonly mostSteady: { readonly name: string; readonly spread: number } | null
  readonly votes: { readonly verbose: number; readonly terse: number } | null
}

/** What everyone in the room is told, numbered; `at` is when it takes effect. */
export type ClubEvent = { readonly seq: number; readonly at: EpochTime } & (
  | { readonly kind: 'run'; readonly run: RunView }
  | { readonly kind: 'timeline'; readonly timeline: readonly Segment[]; readonly why: string }
  | { readonly kind: 'plan'; readonly plan: PlanRef; readonly timeline: readonly Segment[] }
  | { readonly kind: 'turns'; readonly turns: readonly Turn[] }
  | { readonly kind: 'board'; readonly board: Board }
  | { readonly kind: 'lock'; readonly locked: boolean }
  | { readonly kind: 'role'; readonly member: string; readonly role: Role }
  | { readonly kind: 'end' }
)
export type EventBody = ClubEvent extends infer E ? (E extends ClubEvent ? Omit<E, 'seq' | 'at'> : never) : never

export interface RoomState {
  readonly title: string
  readonly seq: number
  readonly locked: boolean
  readonly run: RunView | null
  readonly timeline: readonly Segment[]
  readonly board: Board | null
}

export interface RosterRow {
  readonly id: string
  readonly name: string
  readonly crew: string | null
  readonly role: Role
  readonly here: boolean
  readonly ready: boolean
  /** For trainers only. */
  readonly exact?: boolean
  readonly taps?: number
  readonly mean?: number | null
}

export type ClubReply =
  | { readonly type: 't'; readonly id: number; readonly t2: EpochTime; readonly t3: EpochTime }
  | {
      readonly type: 'welcome'
      readonly me: { readonly id: string; readonly name: string; readonly role: Role; readonly token: string }
      readonly code: string
      readonly boot: string
      readonly state: RoomState
      /** Events after the one last seen, in order; null when they are no longer kept and the state stands in for them. */
      readonly missed: readonly ClubEvent[] | null
      /** Ids of this member's taps, answers and votes that are safe. */
      readonly kept: readonly number[]
    }
  | { readonly type: 'event'; readonly event: ClubEvent }
  | { readonly type: 'missed'; readonly events: readonly ClubEvent[] | null; readonly state: RoomState }
  | { readonly type: 'scored'; readonly id: number; readonly call: number | null; readonly error: number | null }
  | { readonly type: 'kept'; readonly id: number }
  | {
      readonly type: 'roster'
      readonly members: readonly RosterRow[]
      readonly trainers: number
      readonly unsaved: boolean
    }
  | { readonly type: 'progress'; readonly id: number; readonly done: number; readonly total: number }
  | { readonly type: 'done'; readonly id: number }
  | { readonly type: 'refused'; readonly id: number | null; readonly why: string; readonly wait?: number }

/**
 * Why a club connection is closed: code, reason and what it means. RFC 6455, 7.4: 1000–2999 belong to the protocol, 4000–4999 to us; 1003, 1007 and 1009 are
 * its own words for binary where text is wanted, text that is not UTF-8, and frames too large.
 */
export const CLUB_CLOSE = {
  goodbye: {
    code: 1000,
    reason: 'the evening is over',
    means: 'The trainer ended the night; nothing of it is kept here.',
  },
  stopping: { code: 1001, reason: 'stopping', means: 'The host is being stopped; pages come back by themselves.' },
  binary: { code: 1003, reason: 'text only', means: 'A club speaks JSON text; this was binary.' },
  notText: { code: 1007, reason: 'not UTF-8', means: 'The text was not UTF-8.' },
  tooLarge: { code: 1009, reason: 'message too large', means: 'No message of a club is larger than 16 kB.' },
  full: { code: 1013, reason: 'the host is full', means: 'More connections than one host carries; try again later.' },
  badMessage: { code: 4001, reason: 'bad message', means: 'This is no message of a club.' },
  sentOut: { code: 4003, reason: 'sent out', means: 'The trainer asked this phone to leave.' },
  lockedOut: { code: 4004, reason: 'too many wrong codes', means: 'This address guessed too often; it must wait.' },
  silent: { code: 4005, reason: 'no join', means: 'It connected but never joined.' },
  elsewhere: { code: 4006, reason: 'opened elsewhere', means: 'The same seat was opened in another page.' },
  tooSlow: {
    code: 4008,
    reason: 'too slow',
    means: 'This connection cannot take what is sent to it; it may come back.',
  },
  flood: { code: 4029, reason: 'too many messages', means: 'More messages a second than a page has reason to send.' },
} as const
export type CloseReason = keyof typeof CLUB_CLOSE
