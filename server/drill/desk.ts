import type { ItemKind } from './drill.ts'
import type { Item } from './items.ts'

/** How an item stands when the next one is chosen. */
export interface Standing {
  readonly changed: boolean
  readonly met: number | null
}

/**
 * Which item of a kind is asked next at the desk. `say` goes through the stage in order: what was changed under the crew first, then on from the first call
 * never heard, then from where the last ride stopped. The other kinds are taken in road order, those met longest ago first. Null when there is none.
 */
export function nextItem(
  items: readonly Item[],
  kind: ItemKind,
  standing: (item: string) => Standing | null,
  ride: { readonly heard: number; readonly position: number },
): Item | null {
  const own = items.filter((one) => one.kind === kind)
  if (own.length === 0) return null
  if (kind === 'say') {
    const changed = own.find((one) => standing(one.id)?.changed)
    if (changed) return changed
    const unheard = own.find((one) => one.call >= ride.heard && standing(one.id) === null)
    return unheard ?? own[ride.position % own.length]!
  }
  let best: Item | null = null
  let longest = Number.POSITIVE_INFINITY
  for (const one of own) {
    const met = standing(one.id)?.met ?? Number.NEGATIVE_INFINITY
    if (met < longest || best === null) {
      longest = met
      best = one
    }
  }
  return best
}
