import { DEFAULT_CALL_SETTINGS } from '../calls/defaults.ts'
import type { RunSettings } from '../rehearsal/stage.ts'
import type { PlanRequest, StageSettings } from './wire.ts'

/** A run as it was asked for; what is absent is the stage's own. */
export function runOf(own: StageSettings, request: PlanRequest): RunSettings {
  const pace = request.pace === undefined ? own.pace : request.pace
  return {
    target: request.target ?? own.target,
    wording: request.wording ?? own.wording,
    surface: request.surface ?? own.surface,
    car: request.car ?? own.car,
    voice: request.voice ?? own.voice,
    rate: request.rate ?? own.rate,
    pitch: own.pitch,
    calls: {
      ...DEFAULT_CALL_SETTINGS,
      lead: request.lead ?? own.lead,
      reaction: request.reaction ?? own.reaction,
      waiting: request.waiting ?? own.waiting,
      ahead: request.ahead ?? own.ahead,
      ...(pace ? { gap: pace.pause } : typeof own.pause === 'number' ? { gap: own.pause } : {}),
    },
    from: request.from ?? 0,
    to: request.to ?? Number.POSITIVE_INFINITY,
    pins: own.pins,
    leftOut: request.leftOut ?? own.leftOut,
    sayAs: own.sayAs,
    limits: request.limits ?? own.limits,
    pace,
  }
}
