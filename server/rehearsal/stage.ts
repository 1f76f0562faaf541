import type { CallPlan, CallSettings } from '../calls/plan.ts'
import type { CrewWord, Diagnostic, GradeSystem, Notes, Wording } from '../notes/notes.ts'
import type { Anchor, Placement } from '../placement/placement.ts'
import type { RoadEdit, RoadFile } from '../route/assembleRoad.ts'
import type { Route } from '../route/route.ts'
import type { SayAs } from '../speech/pronounce.ts'
import type { SpeedLimit } from '../speed/limitedCells.ts'
import type { RoadCells, SpeedProfile, Target } from '../speed/speed.ts'
import type { Metres, Seconds } from '../units.ts'

/** A stage as it lies in its folder: what the crew typed, the road's file, hand placements, and how they want it read. */
export interface StageToRehearse {
  readonly title: string
  readonly notes: string
  readonly route: RoadFile | null
  /** Further files of the same road. */
  readonly moreRoutes?: readonly RoadFile[]
  readonly anchors: readonly Anchor[]
  readonly settings: StageReading
}

/** How notes are to be understood, and the road's length where only notes are there. */
export interface StageReading extends RoadEdit {
  readonly gradeSystem?: Partial<GradeSystem> | undefined
  readonly dictated?: boolean | undefined
  readonly distances?: 'metres' | 'yards' | undefined
  readonly crewWords?: readonly CrewWord[] | undefined
  readonly length?: Metres | null | undefined
  /** Lines of the road's files that are used, by number; absent or null is the longest road in them. */
  readonly lines?: readonly number[] | null | undefined
}

/** Everything that does not depend on speed, voice or wording. */
export interface PreparedStage {
  readonly title: string
  readonly notes: Notes
  readonly diagnostics: readonly Diagnostic[]
  readonly route: Route
  readonly placement: Placement
  readonly cells: RoadCells
  /** What the road says of which number is fastest, where the text leaves it open (log odds for the highest). */
  readonly fastByRoad?: number
}

/** How a run is to be driven and read. */
export interface RunSettings {
  readonly target: Target
  readonly wording: Wording | 'automatic'
  readonly surface: string
  readonly car: string
  readonly voice: string
  readonly rate: number
  readonly pitch: number
  readonly calls: CallSettings
  /** Stations of the section to read; calls outside it are left out. */
  readonly from: Metres
  readonly to: Metres
  /** Element texts never to be dropped. */
  readonly pins: readonly string[]
  /** Words left out of single calls, besides what the wording leaves out. */
  readonly leftOut?: readonly LeftOut[]
  /** The crew's own list of how words are said. */
  readonly sayAs?: readonly SayAs[]
  /** Stretches the crew means to drive no faster than a limit. */
  readonly limits?: readonly SpeedLimit[]
  /** Lengths by a person's own pace in place of the voice's. */
  readonly pace?: ReadingPace | null
}

/** An element a crew leaves out of one call; `text` is the call's, so that it is found again after an edit. */
export interface LeftOut {
  readonly call: number
  readonly text: string
  readonly element: number
}

/** How a person reads: syllables a second inside calls (ordinary speech 3 to 7, from memory), and the pause after each, seconds. */
export interface ReadingPace {
  readonly syllablesPerSecond: number
  readonly pause: Seconds
}

/** A call as it is said in the run. */
export interface SaidCall {
  readonly call: number
  readonly wording: Wording
  /** What is heard, as words. */
  readonly say: string
  readonly words: number
  readonly dropped: readonly number[]
  readonly duration: Seconds
  readonly elementEnds: readonly (Seconds | null)[]
  /** Content hash of the clip it was measured on; null while lengths are estimated. */
  readonly clip: string | null
}

/** One run, planned. */
export interface Rehearsal {
  readonly stage: PreparedStage
  readonly run: RunSettings
  readonly profile: SpeedProfile
  /** Parallel to plan.calls. */
  readonly said: readonly SaidCall[]
  readonly plan: CallPlan
  readonly speech: 'voice' | 'estimated' | 'pace'
}
