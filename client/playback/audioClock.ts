import type { AudioTime, Seconds } from '../../server/units.ts'
import type { PageTime } from './serverClock.ts'

/** The sound card's clock read at a moment of the page's clock. */
export interface AudioReading {
  readonly audio: AudioTime
  readonly page: PageTime
}

/** Pairs kept; one a second. Fewer tremble with the steps in which cards report, more lag behind their drift. */
const KEPT = 15
const OFF: Seconds = 0.025
const OFF_IN_A_ROW = 3

/**
 * The sound card's time on a page's clock: the median of the last 15 differences audio − page. Three readings in a row more than 25 ms off say that the
 * card stopped or was changed, and start it anew.
 */
export class AudioClock {
  private pairs: number[] = []
  private median = 0
  private off = 0

  /** Throws RangeError when a reading is no finite number. */
  add({ audio, page }: AudioReading): void {
    const difference = audio - page
    if (!Number.isFinite(difference)) throw new RangeError(`AudioClock: audio ${audio}, page ${page}`)
    if (this.pairs.length > 0 && Math.abs(difference - this.median) > OFF) {
      this.off += 1
      if (this.off >= OFF_IN_A_ROW) this.reset()
    } else this.off = 0
    this.pairs.push(difference)
    if (this.pairs.length > KEPT) this.pairs.shift()
    const sorted = [...this.pairs].sort((a, b) => a - b)
    const middle = sorted.length >> 1
    this.median = sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2
  }

  reset(): void {
    this.pairs = []
    this.off = 0
  }

  get ready(): boolean {
    return this.pairs.length > 0
  }

  audioAt(page: PageTime): AudioTime {
    return (page + this.median) as AudioTime
  }

  pageAt(audio: AudioTime): PageTime {
    return audio - this.median
  }
}
