import type { PlanDocument, PlanRequest } from '../../server/api/wire.ts'

const PLANS = 'say-when-plans'
const addressOf = (stage: string) => `/kept/plans/${stage}`

/** Keeps the plan of a stage at its own settings in this browser, for riding without the server. */
export async function keepPlan(stage: string, plan: PlanDocument): Promise<void> {
  const cache = await caches.open(PLANS)
  await cache.put(
    addressOf(stage),
    new Response(JSON.stringify(plan), { headers: { 'content-type': 'application/json' } }),
  )
}

/**
 * The kept plan, only where it is needed: this stage was kept, its own settings are asked for, and the server does not answer. Null otherwise; a stage that
 * was never kept costs no request.
 */
export async function planWithoutServer(stage: string, request: PlanRequest): Promise<PlanDocument | null> {
  if (!('caches' in globalThis) || Object.keys(request).length > 0) return null
  const kept = await caches.match(addressOf(stage))
  if (!kept) return null
  try {
    await fetch('/api/cars', { cache: 'no-store', headers: { 'x-network-only': '1' } })
    return null
  } catch {
    return (await kept.json()) as PlanDocument
  }
}
