import type { CloseReason, ClubMessage, ClubReply, Role } from './clubWire.ts'

/**
 * The seam between front doors, which hold connections, and hosts, which hold rooms. Everything that crosses it is plain JSON, so that a broker between
 * machines can carry it (docs/scaling.md). A room has one host at a time; it may have many front doors.
 */
export interface ClubBus {
  /** From now on `answer` speaks for `room`, found by `code`. The function given back ends that. */
  serve(room: string, code: string, answer: (request: RoomRequest) => Promise<RoomReply>): () => void
  /** The room of a code, or null. */
  find(code: string): Promise<string | null>
  /** Asks a room's host; null when nobody speaks for the room. Requests of one connection are answered in order when each waits for the last. */
  ask(room: string, request: RoomRequest): Promise<RoomReply | null>
  /** Says something to a room; in order to each listener. */
  publish(room: string, envelope: Envelope): void
  listen(room: string, listener: (envelope: Envelope) => void): () => void
}

export type RoomRequest =
  | {
      readonly kind: 'join'
      readonly connection: string
      readonly name: string
      readonly crew: string | null
      readonly role: Role
      readonly shown: boolean
      readonly key: string | null
    }
  | {
      readonly kind: 'resume'
      readonly connection: string
      readonly token: string
      readonly boot: string
      readonly seen: number
    }
  | {
      readonly kind: 'say'
      readonly connection: string
      readonly member: string
      readonly message: Exclude<ClubMessage, { type: 't' | 'join' | 'resume' }>
    }
  | { readonly kind: 'left'; readonly connection: string; readonly member: string }

export interface RoomReply {
  readonly replies: readonly ClubReply[]
  /** Set when this connection now sits in the room. */
  readonly seat?: { readonly member: string; readonly role: Role }
  /** A wrong key or token: it counts as a wrong code. */
  readonly wrong?: boolean
  readonly close?: CloseReason
}

/** A message to some of a room, as text once for all who get it. */
export interface Envelope {
  readonly to: 'all' | 'trainers' | 'screens' | 'phones' | { readonly member: string; readonly but?: string }
  readonly text: string | null
  readonly close?: CloseReason
}

/** Rooms and front doors in one process: a table of functions. */
export function inProcessBus(): ClubBus {
  const hosts = new Map<string, (request: RoomRequest) => Promise<RoomReply>>()
  const codes = new Map<string, string>()
  const listeners = new Map<string, Set<(envelope: Envelope) => void>>()
  return {
    serve(room, code, answer) {
      if (hosts.has(room) || codes.has(code))
        throw new RangeError(`ClubBus: room ${room} or its code is served already`)
      hosts.set(room, answer)
      codes.set(code, room)
      return () => {
        hosts.delete(room)
        codes.delete(code)
      }
    },
    find: async (code) => codes.get(code) ?? null,
    ask: async (room, request) => (await hosts.get(room)?.(request)) ?? null,
    publish(room, envelope) {
      for (const listener of listeners.get(room) ?? []) listener(envelope)
    },
    listen(room, listener) {
      const all = listeners.get(room) ?? new Set()
      listeners.set(room, all.add(listener))
      return () => {
        all.delete(listener)
        if (all.size === 0 && listeners.get(room) === all) listeners.delete(room)
      }
    },
  }
}
