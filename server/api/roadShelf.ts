import type { KeptRoad } from '../library/roadFiles.ts'
import {
  assembleRoad,
  editRoad,
  type RoadEdit,
  type RoadFile,
  type TellProgress,
  type WholeRoad,
} from '../route/assembleRoad.ts'
import { RoadThread } from '../route/roadThread.ts'
import type { Route } from '../route/route.ts'

/** Roads kept while their files stay the same. */
const KEPT = 12
/** Files larger than this, together, are built in a thread: smaller ones take less than a frame or two of the server's time. */
const SMALL_BYTES = 200_000

/** Lines of the files that are used, by number; null or undefined is the longest road in them. */
type Lines = readonly number[] | null | undefined

/** What a stage's road is made of. */
export interface RoadOfStage {
  readonly route: KeptRoad | null
  readonly moreRoutes: readonly KeptRoad[]
}

/** Whole roads by the files they were built from, so that a new stretch or direction costs a slice and a new start of the server one build. */
export class RoadShelf {
  private readonly wholes = new Map<string, WholeRoad>()
  private readonly coming = new Map<string, Promise<WholeRoad>>()
  private readonly thread = new RoadThread()

  key({ route, moreRoutes }: RoadOfStage, lines: Lines): string {
    if (route === null) return 'none'
    return JSON.stringify([[route, ...moreRoutes].map(({ stamp, name, use }) => [stamp, name, use]), lines ?? null])
  }

  /** The whole road at once, built here and now where it is not kept; null for a stage without one. Throws RouteFileError. */
  whole(stage: RoadOfStage, lines: Lines): WholeRoad | null {
    if (stage.route === null) return null
    const key = this.key(stage, lines)
    const known = this.wholes.get(key)
    return known ?? this.remember(key, assembleRoad([stage.route, ...stage.moreRoutes], lines ?? null))
  }

  /** The same, with long files built apart. Resolves to null for a stage without a road. Rejects with RouteFileError. */
  async ready(stage: RoadOfStage, lines: Lines, tell?: TellProgress): Promise<WholeRoad | null> {
    if (stage.route === null) return null
    const key = this.key(stage, lines)
    const known = this.wholes.get(key)
    if (known) return known
    const files = [stage.route, ...stage.moreRoutes]
    const size = files.reduce((sum, file) => sum + file.size, 0)
    if (size <= SMALL_BYTES) return this.whole(stage, lines)
    const building =
      this.coming.get(key) ??
      this.thread
        .assemble(files, lines ?? null, tell)
        .then((whole) => this.remember(key, whole))
        .finally(() => this.coming.delete(key))
    this.coming.set(key, building)
    return building
  }

  /** Built from files that are not in the library yet, always apart. */
  tried(files: readonly RoadFile[], lines: Lines, tell?: TellProgress): Promise<WholeRoad> {
    return this.thread.assemble(files, lines ?? null, tell)
  }

  /** A road that was tried, now that its files are in the library. */
  keep(stage: RoadOfStage, lines: Lines, whole: WholeRoad): void {
    this.remember(this.key(stage, lines), whole)
  }

  /** The stage's own road: its stretch, in its direction. */
  edited(stage: RoadOfStage, settings: RoadEdit & { readonly lines?: Lines }): Route | null {
    const whole = this.whole(stage, settings.lines)
    return whole === null ? null : editRoad(whole.route, settings)
  }

  close(): Promise<void> {
    return this.thread.close()
  }

  private remember(key: string, whole: WholeRoad): WholeRoad {
    if (this.wholes.size >= KEPT) this.wholes.delete(this.wholes.keys().next().value!)
    this.wholes.set(key, whole)
    return whole
  }
}
