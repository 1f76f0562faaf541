import type { Rehearsal } from '../rehearsal/stage.ts'
import type { Chapter, SoundTags } from '../speech/soundTags.ts'
import { type Metres, MILE, toKmh } from '../units.ts'

/** Length of road that gets a chapter of its own, by the units the crew reads. */
export const SECTION: Readonly<Record<'metric' | 'miles', Metres>> = { metric: 1000, miles: MILE }

/** What stands on everything that is taken along. */
export const CAUTION =
  'For rehearsal on private premises only, never while driving on a road open to others. Speeds are practice targets, not advice; event regulations, marshals and local law come first.'

export const DRAWN = 'The road is drawn from the notes, not measured.'

/** The count before a start, a word at a time. */
export const countWords = (): string[][] => [['five'], ['four'], ['three'], ['two'], ['one']]

/** Title, average and caution of a run, and its sections. */
export function runTags(rehearsal: Rehearsal, chapters: readonly Chapter[]): SoundTags {
  const { stage, profile } = rehearsal
  const drawn = stage.route.source === 'notes' ? ` ${DRAWN}` : ''
  return {
    title: `${stage.title}, ${toKmh(profile.averageSpeed).toFixed(1)} km/h`,
    album: 'Say When',
    comment: `${CAUTION}${drawn}`,
    chapters,
  }
}
