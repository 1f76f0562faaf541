import type { Metres, Radians } from '../units.ts'

/** Two lanes of a road, and the wander of a receiver between two runs. */
const SAME_ROAD: Metres = 8
const SAME_WAY: Radians = Math.PI / 6
/** Nearer along the road than this, it is one bend. */
const APART: Metres = 200
/** A shorter run beside itself is a hairpin or a crossing. */
const LEAST_RUN: Metres = 300
const EVERY: Metres = 5

export interface DrivenTwice {
  /** Length of road driven a second time the same way: a lap too many. */
  readonly again: Metres
  /** Length of road driven back the way it came. */
  readonly back: Metres
}

/**
 * How much of a road runs along an earlier part of itself, nearer than 8 m for 300 m at least: the same way (a second lap) or the other way (there and back).
 * Stations are looked at every 5 m, each against those in the cells of a grid around it. Arrays of one length, `step` metres apart.
 */
export function drivenTwice(road: {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly heading: Float64Array
  readonly step: Metres
}): DrivenTwice {
  const every = Math.max(1, Math.round(EVERY / road.step))
  const apart = APART / road.step
  const cells = new Map<string, number[]>()
  const runs = { again: new Run(), back: new Run() }
  for (let i = 0; i < road.x.length; i += every) {
    const [cx, cy] = [Math.floor(road.x[i]! / SAME_ROAD), Math.floor(road.y[i]! / SAME_ROAD)]
    let again = false
    let back = false
    for (let gx = cx - 1; gx <= cx + 1; gx++)
      for (let gy = cy - 1; gy <= cy + 1; gy++)
        for (const j of cells.get(`${gx},${gy}`) ?? []) {
          if (i - j < apart || Math.hypot(road.x[i]! - road.x[j]!, road.y[i]! - road.y[j]!) > SAME_ROAD) continue
          const along = Math.cos(road.heading[i]! - road.heading[j]!)
          again ||= along > Math.cos(SAME_WAY)
          back ||= along < -Math.cos(SAME_WAY)
        }
    runs.again.take(again, every * road.step)
    runs.back.take(back, every * road.step)
    const key = `${cx},${cy}`
    const cell = cells.get(key)
    if (cell) cell.push(i)
    else cells.set(key, [i])
  }
  return { again: runs.again.ended(), back: runs.back.ended() }
}

/** Adds up runs that are long enough; two looks that miss do not end a run. */
class Run {
  private total: Metres = 0
  private length: Metres = 0
  private missed = 0

  take(is: boolean, step: Metres): void {
    if (is) {
      this.length += step * (1 + this.missed)
      this.missed = 0
    } else if (this.length > 0 && ++this.missed > 2) this.close()
  }

  ended(): Metres {
    this.close()
    return this.total
  }

  private close(): void {
    if (this.length >= LEAST_RUN) this.total += this.length
    this.length = 0
    this.missed = 0
  }
}
