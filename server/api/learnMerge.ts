import { createHash } from 'node:crypto'
import { alignCalls } from '../drill/alignCalls.ts'
import type { Memory } from '../drill/drill.ts'
import { afterReview, featuresAt } from '../drill/memory.ts'
import { mergeLogs } from '../drill/mergeLogs.ts'
import type { ReviewEntry, StoredCall } from '../library/learnStore.ts'
import type { LearnDesk } from './learnDesk.ts'
import { type LearntLog, logSchema } from './learnWire.ts'

/** Everything learnt of a stage, to be brought to another device: the log, and which call each of its items was about. */
export function learntLog(desk: LearnDesk, stage: string): LearntLog {
  return { lines: desk.store.log(stage).map(({ features: _, ...line }) => line), calls: desk.store.calls(stage) }
}

/**
 * Lines of another copy of this stage: those new here are added, and their items replayed in one order. Calls have other names there: the same calls are
 * found by content and order; what is not in these notes is kept with its lines, as calls taken out are, and comes back with them.
 */
export async function mergeLearnt(desk: LearnDesk, stage: string, body: unknown): Promise<{ added: number }> {
  const { lines, calls: theirs } = logSchema.parse(body)
  const { stored, marks, calls } = await desk.open(stage)
  const ours = new Set(desk.store.calls(stage).map((one) => one.id))
  const names = new Map<string, string>()
  const strangers = theirs.filter((one) => !ours.has(one.id))
  const fates = alignCalls(
    strangers.map((one) => ({ ...one, archived: one.position === null })),
    marks,
  )
  fates.forEach((fate, i) => {
    if ('id' in fate) names.set(fate.id, calls[i]!.id)
  })
  // A call without a counterpart has a name of its own here, the same each time: another stage of this library may know one by theirs.
  const apart = strangers.filter((one) => !names.has(one.id))
  for (const { id } of apart) names.set(id, createHash('sha256').update(`${stage}/${id}`).digest('hex').slice(0, 12))
  const renamed = (item: string) => {
    const cut = item.lastIndexOf(':')
    return `${names.get(item.slice(0, cut)) ?? item.slice(0, cut)}${item.slice(cut)}`
  }
  const fresh = lines
    .filter((line) => !desk.store.has(line.id))
    .map((line): ReviewEntry => ({ ...line, stage, item: renamed(line.item), features: null }))
  const features = new Map<string, ReviewEntry['features']>()
  const replayed = [...new Set(fresh.map((line) => line.item))].map((item) => {
    let memory: Memory | null = null
    for (const line of mergeLogs([...desk.store.logOf(item), ...fresh.filter((one) => one.item === item)])) {
      if (memory !== null && line.grade !== null) features.set(line.id, featuresAt(memory, line.at))
      memory = afterReview(memory, line)
    }
    return { id: item, memory, changed: stored.get(item)?.changed ?? false }
  })
  const kept = apart
    .map((one): StoredCall => ({ ...one, id: names.get(one.id)!, position: null, offered: [] }))
    .filter((one) => !ours.has(one.id))
  desk.store.write(stage, {
    entries: fresh.map((line) => ({ ...line, features: features.get(line.id) ?? null })),
    items: replayed.flatMap(({ memory, ...one }) => (memory === null ? [] : [{ ...one, memory }])),
    calls: kept,
  })
  desk.forget(stage)
  return { added: fresh.length }
}
