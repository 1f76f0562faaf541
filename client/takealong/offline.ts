import type { PlanDocument } from '../../server/api/wire.ts'
import { keepPlan } from '../connection/keptPlans.ts'
import { prepareSpeech } from '../connection/live.ts'

/** What of a stage is in this browser. */
export interface Kept {
  readonly calls: number
}

/** Step of the road table that Drive asks for. */
const ROAD = 'road?step=2'
const SHELL = 'say-when-shell'

/** Why this page cannot keep a stage, in a sentence; null where it can. */
export function whyNotOffline(): string | null {
  if (!window.isSecureContext)
    return 'This page came over plain http from another machine, where browsers keep nothing for offline use.'
  if (!('serviceWorker' in navigator) || !('caches' in window)) return 'This browser keeps no pages for offline use.'
  return null
}

const cacheOf = (stageId: string) => `say-when-stage-${stageId}`

/**
 * Keeps the pages, the plan at the stage's own target and every clip of it. `onShare` tells how far it is, 0…1. What was kept of this stage before is
 * replaced only when all of the new is there.
 */
export async function keepOffline(stageId: string, onShare: (share: number) => void): Promise<Kept> {
  await navigator.serviceWorker.register('/sw.js')
  await navigator.serviceWorker.ready
  const plan = await prepareSpeech(stageId, {}, (done, total) => onShare((0.5 * done) / total))
  const assets = (await (await fetch('/asset-list.json', { cache: 'no-store' })).json()) as string[]
  const shell = await caches.open(SHELL)
  await shell.addAll(['/', ...assets.map((name) => `/${name}`)])
  const clips = [...new Set(plan.calls.flatMap((call) => (call.clip === null ? [] : [call.clip])))]
  const cache = await caches.open(cacheOf(stageId))
  const addresses = [
    `/api/stages/${stageId}`,
    `/api/stages/${stageId}/${ROAD}`,
    ...clips.map((clip) => `/api/clips/${clip}`),
  ]
  for (const [i, address] of addresses.entries()) {
    await cache.add(address)
    onShare(0.5 + (0.5 * (i + 1)) / addresses.length)
  }
  await keepPlan(stageId, plan)
  return { calls: plan.calls.length }
}

/** What is kept of a stage, or null. */
export async function keptStage(stageId: string): Promise<Kept | null> {
  const kept = await caches.match(`/kept/plans/${stageId}`)
  if (!kept) return null
  const plan = (await kept.json()) as PlanDocument
  return { calls: plan.calls.length }
}
