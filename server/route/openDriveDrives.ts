import { wrapAngle } from '../numeric/wrapAngle.ts'
import type { Metres, Radians } from '../units.ts'
import type { Connection, DesignedRoad, Link } from './openDriveRoads.ts'

/** A road of a drive, driven from its end to its start where `reversed`. */
export interface DrivenRoad {
  readonly road: DesignedRoad
  readonly reversed: boolean
}

/** What a drive needs to know of a road's line: its length, and place and heading as drawn at both ends. */
export interface RoadEnds {
  readonly length: Metres
  readonly starts: RoadEnd
  readonly ends: RoadEnd
}

export interface RoadEnd {
  readonly x: Metres
  readonly y: Metres
  readonly heading: Radians
}

/** A way through a junction whose line begins farther off than this is not the one that is meant. */
const THERE: Metres = 1

/**
 * Parts a network into drives: the longest run of roads that follow each other by their links first, then the longest of what is left, and so on. A road met at
 * its end is driven backwards and left by its predecessor. Through a junction the way that turns least is taken. No road is driven twice.
 */
export function drivesOf(
  roads: readonly DesignedRoad[],
  connections: readonly Connection[],
  endsOf: (road: DesignedRoad) => RoadEnds,
): DrivenRoad[][] {
  const network = new Network(roads, connections, endsOf)
  const left = new Set(roads)
  const drives: DrivenRoad[][] = []
  while (left.size > 0) {
    let best: DrivenRoad[] = []
    let most = -1
    for (const road of left)
      for (const reversed of [false, true]) {
        const { drive, length } = network.follow({ road, reversed }, left)
        if (length > most) {
          most = length
          best = drive
        }
      }
    for (const { road } of best) left.delete(road)
    drives.push(best)
  }
  return drives
}

class Network {
  private readonly byId: ReadonlyMap<string, DesignedRoad>
  /** By junction and the road one comes from. */
  private readonly named = new Map<string, Connection[]>()
  /** Roads that lie in each junction. */
  private readonly within = new Map<string, DesignedRoad[]>()
  private readonly endsOf: (road: DesignedRoad) => RoadEnds

  constructor(
    roads: readonly DesignedRoad[],
    connections: readonly Connection[],
    endsOf: (road: DesignedRoad) => RoadEnds,
  ) {
    this.byId = new Map(roads.map((road) => [road.id, road]))
    for (const one of connections) append(this.named, `${one.junction} ${one.incoming}`, one)
    this.endsOf = endsOf
    for (const road of roads) if (road.junction !== null) append(this.within, road.junction, road)
  }

  follow(first: DrivenRoad, left: ReadonlySet<DesignedRoad>): { drive: DrivenRoad[]; length: Metres } {
    const drive = [first]
    const seen = new Set([first.road])
    let length = this.endsOf(first.road).length
    for (;;) {
      const next = this.after(drive.at(-1)!, (road) => left.has(road) && !seen.has(road))
      if (next === null) return { drive, length }
      drive.push(next)
      seen.add(next.road)
      length += this.endsOf(next.road).length
    }
  }

  private after({ road, reversed }: DrivenRoad, free: (road: DesignedRoad) => boolean): DrivenRoad | null {
    const link = reversed ? road.previous : road.next
    if (link === null) return null
    const ways = link.kind === 'road' ? this.onto(link, reversed) : this.through(road, link.id)
    let best: DrivenRoad | null = null
    let least = Number.POSITIVE_INFINITY
    for (const way of ways) {
      if (!free(way.road) || (link.kind === 'junction' && !this.meets({ road, reversed }, way))) continue
      const turning = this.turning(way)
      if (turning < least) {
        least = turning
        best = way
      }
    }
    return best
  }

  /** Without a contact point a road follows on at its start, and is met from behind at its end. */
  private onto({ id, contact }: Link, reversed: boolean): DrivenRoad[] {
    const road = this.byId.get(id)
    const met = contact ?? (reversed ? 'end' : 'start')
    return road ? [{ road, reversed: met === 'end' }] : []
  }

  private through(from: DesignedRoad, junction: string): DrivenRoad[] {
    const named = (this.named.get(`${junction} ${from.id}`) ?? []).flatMap((one) =>
      this.onto({ kind: 'road', id: one.onto, contact: one.contact }, false),
    )
    // Ways whose own links lead here, which the junction names only for the other direction.
    const linked = (this.within.get(junction) ?? []).flatMap((road): DrivenRoad[] => [
      ...(isLink(road.previous, from) ? [{ road, reversed: false }] : []),
      ...(isLink(road.next, from) ? [{ road, reversed: true }] : []),
    ])
    return [...named, ...linked]
  }

  private turning({ road }: DrivenRoad): Radians {
    const { starts, ends } = this.endsOf(road)
    return road.junction === null ? 0 : Math.abs(wrapAngle(ends.heading - starts.heading))
  }

  private meets(before: DrivenRoad, way: DrivenRoad): boolean {
    const [one, other] = [this.endsOf(before.road), this.endsOf(way.road)]
    const from = before.reversed ? one.starts : one.ends
    const to = way.reversed ? other.ends : other.starts
    return Math.hypot(from.x - to.x, from.y - to.y) <= THERE
  }
}

function append<T>(map: Map<string, T[]>, key: string, one: T): void {
  const list = map.get(key)
  if (list) list.push(one)
  else map.set(key, [one])
}

const isLink = (link: Link | null, to: DesignedRoad) => link !== null && link.kind === 'road' && link.id === to.id
