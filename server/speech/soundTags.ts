import type { Seconds } from '../units.ts'

/** A section of a sound, from its beginning; it lasts until the next one or the end. */
export interface Chapter {
  readonly title: string
  readonly from: Seconds
}

/** What a sound file says of itself. Chapters by time, the first at 0. */
export interface SoundTags {
  readonly title: string
  readonly album: string
  readonly comment: string
  readonly chapters: readonly Chapter[]
}

/** Each chapter with its end. Throws RangeError unless they begin in order within the sound. */
export function chapterSpans(
  chapters: readonly Chapter[],
  duration: Seconds,
): { title: string; from: Seconds; to: Seconds }[] {
  return chapters.map((chapter, i) => {
    const to = chapters[i + 1]?.from ?? duration
    if (!(chapter.from >= 0 && to >= chapter.from))
      throw new RangeError(`chapterSpans: chapter ${i} from ${chapter.from} to ${to} of ${duration} s`)
    return { title: chapter.title, from: chapter.from, to }
  })
}
