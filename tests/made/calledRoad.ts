import type { RouteDraft } from '../../server/route/route.ts'
import type { Metres } from '../../server/units.ts'
import { seededNormal, seededRandom } from '../seededRandom.ts'
import { layCorners, type MadeCorner, type MadeCrest, type MadeRoad } from './layRoad.ts'
import { logDrive } from './logDrive.ts'

/** Names of grades with the table's radii (from memory). */
const GRADES = ['hairpin', '1', '2', '3', '4', '5', '6'] as const
const RADII: readonly Metres[] = [8, 17, 27, 42, 65, 100, 150]

export type FaultKind = 'missing' | 'direction' | 'grade' | 'distance' | 'tightens' | 'crest'

/** A fault put into the notes on purpose, and where. */
export interface MadeFault {
  readonly kind: FaultKind
  readonly at: Metres
  /** End of the corner it is in; `at` itself for a distance. */
  readonly to: Metres
  /** Whether such a fault leaves a trace at all (docs/method/placement.md); crests are judged from the road's own heights. */
  readonly visible: boolean
  /** A grade: whether the corner's own radius lies two grades off, or more, on the crew's true scale, whatever the crew felt. */
  readonly clear?: boolean
}

export interface MadeCall {
  readonly kind: 'corner' | 'crest'
  /** Where it belongs on the true road. */
  readonly from: Metres
  readonly to: Metres
}

export interface CalledRoad {
  readonly road: MadeRoad
  readonly draft: RouteDraft
  readonly notes: string
  /** Start and finish left out. */
  readonly calls: readonly MadeCall[]
  readonly faults: readonly MadeFault[]
  /** ln radius that this crew means by each grade, and called over road distance. */
  readonly scale: ReadonlyMap<string, number>
  readonly odometer: number
}

export interface CalledRoadOptions {
  readonly seed: number
  readonly length?: Metres
  /** Plain: one corner after another, table radii. Hard: harder ones of our own. */
  readonly hard?: boolean
  /** Share of calls missing, with the wrong direction, or off by one grade. */
  readonly spoiled?: number
  /** Share of calls given each fault that the audit looks for. */
  readonly faults?: number
}

interface Bend extends MadeCorner {
  readonly called: boolean
  readonly crest: { readonly at: number; readonly seen: boolean } | null
  /** A crest on the straight before, at this share of it, called by itself. */
  readonly crestBefore: { readonly at: number; readonly seen: boolean } | null
}

/** A road, one drive along it as logged, and notes a crew wrote on it, with the truth kept. Same seed, same stage. */
export function calledRoad(options: CalledRoadOptions): CalledRoad {
  const random = seededRandom(options.seed)
  const hard = options.hard ?? false
  const bends = invent(random, options.length ?? 10_000, hard)
  const road = layCorners(bends, 120)
  const crests: { crest: MadeCrest; seen: boolean }[] = []
  const own = (at: Metres): MadeCrest => ({ at, radius: 90 + 160 * random(), length: 36 })
  const crestAt = bends.map((bend, i) => {
    const { from, to } = road.spans[i]!
    if (bend.crest) crests.push({ crest: own(from + bend.crest.at * (to - from)), seen: bend.crest.seen })
    if (!bend.crestBefore) return null
    const at = from - bend.before + bend.crestBefore.at * bend.before
    crests.push({ crest: own(at), seen: bend.crestBefore.seen })
    return at
  })
  const crew = makeCrew(random, hard)
  const written = write({ random, bends, road, crestAt, crew, options, hard })
  const draft = logDrive(
    road,
    crests.filter((one) => one.seen).map((one) => one.crest),
    random,
  )
  return { road, draft, ...written, scale: crew.mu, odometer: crew.odometer }
}

function invent(random: () => number, length: Metres, hard: boolean): Bend[] {
  const bends: Bend[] = []
  const plainBend = { crest: null, crestBefore: null }
  let travelled = 0
  let last: MadeCorner['side'] = 'left'
  const push = (bend: Bend) => {
    bends.push(bend)
    last = bend.side
    travelled += bend.before + (bend.radius * bend.angle) / 0.9
  }
  while (travelled < length - 150) {
    const hairpin = random() < 0.07
    const radius = hairpin
      ? 9
      : hard
        ? Math.exp(Math.log(14) + random() * Math.log(170 / 14))
        : RADII[1 + Math.floor(random() * 6)]!
    const u = random()
    const veryLong = hard && !hairpin && radius < 90 && u < 0.05
    const long = !hairpin && radius < 120 && u >= 0.05 && u < 0.15
    const compound = hard && !hairpin && radius > 20 && random() < 0.1
    const angle = hairpin
      ? 2.4 + 0.8 * random()
      : veryLong
        ? 2.3 + 0.5 * random()
        : long || compound
          ? 1.35 + 0.45 * random()
          : radius >= 100
            ? 0.4 + 0.6 * random()
            : 0.5 + 0.6 * random()
    const kind = random()
    const sBend = hard && kind < 0.08
    const pair = hard && kind >= 0.08 && kind < 0.12
    const linked = random() < 0.2
    const before =
      bends.length === 0
        ? 60 + 60 * random()
        : sBend
          ? 5 * random()
          : pair
            ? 4 + 11 * random()
            : linked
              ? 4 + 18 * random()
              : 28 - 60 * Math.log(1 - random() * 0.97)
    const other = last === 'left' ? 'right' : 'left'
    const side = sBend ? other : pair ? last : linked ? other : random() < 0.5 ? 'left' : 'right'
    // A bend that is hardly one, which this crew leaves uncalled, on the straight before.
    if (hard && before > 90 && random() < 0.3) {
      const gentle = {
        side: random() < 0.5 ? 'left' : 'right',
        radius: 190 + 200 * random(),
        angle: 0.15 + 0.15 * random(),
        before: before * 0.35,
        called: false,
        ...plainBend,
      } as const
      push(gentle)
    }
    push({
      side,
      radius,
      angle,
      before,
      called: true,
      ...(compound ? { second: radius * (random() < 0.6 ? 1 / 1.7 : 1.7) } : {}),
      crest: hard && !hairpin && random() < 0.1 ? { at: 0.1 + 0.4 * random(), seen: random() < 0.6 } : null,
      crestBefore: hard && before > 80 && random() < 0.16 ? { at: 0.5 + 0.2 * random(), seen: random() < 0.6 } : null,
    })
  }
  return bends
}

interface Crew {
  readonly mu: ReadonlyMap<string, number>
  readonly odometer: number
  readonly spread: number
  grade(radius: Metres): number
  /** Without the scatter. */
  trueGrade(radius: Metres): number
}

/** Hard: each grade's radius strays by 25 % (shared and own), the crew scatters by 15 %, the odometer by 10 %. */
function makeCrew(random: () => number, hard: boolean): Crew {
  const shared = hard ? (0.25 / Math.SQRT2) * seededNormal(random) : 0
  const mu = RADII.map((radius, i) => Math.log(radius) + (hard && i > 0 ? shared + 0.12 * seededNormal(random) : 0))
  for (let i = 2; i < mu.length; i++) mu[i] = Math.max(mu[i]!, mu[i - 1]! + 0.2)
  const spread = hard ? 0.15 : 0.04
  return {
    mu: new Map(GRADES.map((name, i) => [name, mu[i]!])),
    odometer: hard ? 1 + 0.1 * (2 * random() - 1) : 1,
    spread,
    grade: (radius) => (radius < 11 ? 0 : nearest(mu, Math.log(radius) + spread * seededNormal(random))),
    trueGrade: (radius) => (radius < 11 ? 0 : nearest(mu, Math.log(radius))),
  }
}

/** Hairpins are named for their turning and stand apart. */
function nearest(mu: readonly number[], lnR: number): number {
  let best = 1
  for (let i = 2; i < mu.length; i++) if (Math.abs(mu[i]! - lnR) < Math.abs(mu[best]! - lnR)) best = i
  return best
}

function write(q: {
  random: () => number
  bends: readonly Bend[]
  road: MadeRoad
  crestAt: readonly (Metres | null)[]
  crew: Crew
  options: CalledRoadOptions
  hard: boolean
}): Pick<CalledRoad, 'notes' | 'calls' | 'faults'> {
  const { random, bends, road, crew, hard } = q
  const spoiled = q.options.spoiled ?? 0
  const rate = q.options.faults ?? 0
  const faults: MadeFault[] = []
  const calls: MadeCall[] = []
  const lines: string[] = ['start']
  let exit = 0
  /** Where corners begin whose call was left out since the last. */
  let leftOut: Metres[] = []
  /** What is said of the road from the last call to here, written at the end of its line. */
  const lead = (to: Metres, must = false) => {
    const gap = to - exit
    const last = lines.length - 1
    const said = gap * crew.odometer * (hard ? 1 + 0.05 * seededNormal(random) : 1)
    if (gap < 12 && last > 0 && !must) lines[last] += ' into'
    else if (gap < 25 && last > 0 && !must) lines[last] += ' and'
    else if (must || last === 0 || !hard || random() > 0.1) {
      let metres = Math.max(10, Math.round(said / 10) * 10)
      if (last > 0 && random() < rate) {
        const wrong = Math.max(30, 0.3 * gap) * (1 + random())
        metres = Math.max(10, Math.round((random() < 0.5 && said - wrong > 15 ? said - wrong : said + wrong) / 10) * 10)
        faults.push({
          kind: 'distance',
          at: exit,
          to: exit,
          // It is a wrong distance only if it does not happen to lead to a corner whose call is missing.
          visible: [gap, ...leftOut.map((from) => from - exit)].every(
            (road) => Math.abs(metres / crew.odometer - road) > Math.max(25, 0.25 * road),
          ),
        })
      }
      lines[last] += ` ${metres}`
    }
  }
  bends.forEach((bend, i) => {
    const { from, to } = road.spans[i]!
    if (!bend.called) return
    const spoil = random()
    const fault = random()
    const missing = spoil < spoiled / 3 || fault < rate
    if (missing) {
      faults.push({ kind: 'missing', at: from, to, visible: bend.radius < 125 })
      leftOut.push(from)
      return
    }
    const crest = q.crestAt[i]
    if (crest != null) {
      lead(crest, true)
      lines.push('over crest')
      calls.push({ kind: 'crest', from: crest, to: crest })
      exit = crest
      leftOut = []
    }
    lead(from, crest != null)
    let grade = crew.grade(bend.radius)
    let side = bend.side
    const flip = (spoil >= spoiled / 3 && spoil < (2 * spoiled) / 3) || (fault >= rate && fault < 2 * rate)
    if (flip) {
      side = side === 'left' ? 'right' : 'left'
      faults.push({ kind: 'direction', at: from, to, visible: true })
    }
    const offOne = spoil >= (2 * spoiled) / 3 && spoil < spoiled
    const offTwo = fault >= 2 * rate && fault < 3 * rate
    if ((offOne || offTwo) && grade > 0) {
      const by = offTwo ? 2 : 1
      const up = grade - by < 1 || (grade + by < GRADES.length && random() < 0.5)
      const moved = Math.min(GRADES.length - 1, Math.max(1, up ? grade + by : grade - by))
      if (Math.abs(moved - grade) === by)
        faults.push({
          kind: 'grade',
          at: from,
          to,
          visible: by === 2,
          clear: Math.abs(moved - crew.trueGrade(bend.radius)) >= 2,
        })
      grade = moved
    }
    let text = grade === 0 ? `hairpin ${side}` : `${GRADES[grade]} ${side}`
    if (grade > 0 && bend.angle > 2.2) text += ' very long'
    else if (grade > 0 && bend.angle > 1.25) text += ' long'
    if (bend.second !== undefined) {
      const word = bend.second < bend.radius ? 'tightens' : 'opens'
      if (random() < 5 * rate) {
        if (word === 'tightens') faults.push({ kind: 'tightens', at: from, to, visible: true })
      } else {
        const second = crew.grade(bend.second)
        const later = word === 'tightens' ? second < grade : second > grade
        text += later && second > 0 ? ` ${word} ${GRADES[second]}` : ` ${word}`
      }
    }
    if (bend.crest) {
      if (random() < 5 * rate) faults.push({ kind: 'crest', at: from, to, visible: bend.crest.seen })
      else text += ' over crest'
    }
    lines.push(text)
    calls.push({ kind: 'corner', from, to })
    exit = to
    leftOut = []
  })
  lead(road.length)
  lines.push('finish')
  return { notes: `${lines.join('\n')}\n`, calls, faults }
}
