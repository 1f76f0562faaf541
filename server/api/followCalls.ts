import { randomBytes } from 'node:crypto'
import { alignCalls } from '../drill/alignCalls.ts'
import type { CallMark } from '../drill/callMark.ts'
import { itemId } from '../drill/items.ts'
import { afterReview } from '../drill/memory.ts'
import { practiceDay } from '../drill/practiceDay.ts'
import type { LearnStore, ReviewEntry, StoredCall, StoredItem } from '../library/learnStore.ts'
import type { EpochTime } from '../units.ts'

/**
 * Names of a stage's calls as its notes stand now, `marks` in order; what changed is written before anything is asked. `now` and `zone` (IANA)
 * date the entry of an edit.
 */
export function followCalls(
  store: LearnStore,
  stage: string,
  marks: readonly CallMark[],
  { now, zone }: { now: EpochTime; zone: string },
): StoredCall[] {
  const known = store.calls(stage)
  const placed = known.filter((one) => one.position !== null)
  const same =
    placed.length === marks.length &&
    marks.every((mark, i) => mark.key === placed[i]!.key && mark.text === placed[i]!.text)
  if (same) return placed
  const fates = alignCalls(
    known.map((one) => ({ ...one, archived: one.position === null })),
    marks,
  )
  const stored = store.items(stage)
  const entries: ReviewEntry[] = []
  const items: (StoredItem & { id: string })[] = []
  const calls = marks.map((mark, position): StoredCall => {
    const fate = fates[position]!
    const id = 'id' in fate ? fate.id : randomBytes(6).toString('hex')
    if (fate.is === 'changed') {
      for (const kind of ['say', 'tightens', 'follows'] as const) {
        const before = stored.get(itemId(id, kind))
        if (!before) continue
        const review = { at: now, how: 'edited', grade: null } as const
        entries.push({
          ...review,
          id: randomBytes(9).toString('hex'),
          item: itemId(id, kind),
          stage,
          device: store.device,
          turn: store.nextTurn(),
          seconds: 0,
          said: mark.text,
          day: practiceDay(now, zone),
          setBack: false,
          claimed: null,
          features: null,
        })
        items.push({ id: itemId(id, kind), memory: afterReview(before.memory, review)!, changed: true })
      }
    }
    return { id, position, ...mark, offered: fate.is === 'offered' ? fate.ids : [] }
  })
  const here = new Set(calls.map((one) => one.id))
  const gone = placed.filter((one) => !here.has(one.id)).map((one) => ({ ...one, position: null }))
  store.write(stage, { entries, items, calls: [...gone, ...calls] })
  return calls
}
