/**
 * Makes the three demo stages from a known truth: `node --import tsx routes-demo/make/makeDemo.ts`.
 * The island of Venna, its roads and everybody on them are invented. Same seeds, same files.
 */
import { mkdirSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { seededRandom } from '../../tests/seededRandom.ts'
import { callRoad, numberCrew, type Remarks, yardCrew } from './crew.ts'
import { recceLog } from './recceLog.ts'
import { layRoad, type TrueCorner } from './truth.ts'

const here = fileURLToPath(new URL('..', import.meta.url))

function write(folder: string, files: Readonly<Record<string, string>>): void {
  mkdirSync(here + folder, { recursive: true })
  for (const [name, text] of Object.entries(files)) writeFileSync(`${here}${folder}/${name}`, text)
}

/** Corners drawn one after another; the heading is led back so that the road goes somewhere and does not cross itself. */
function invent(q: {
  random: () => number
  length: number
  radii: readonly (readonly [radius: number, share: number])[]
  gap: () => number
}): TrueCorner[] {
  const corners: TrueCorner[] = []
  let heading = 0
  let travelled = 0
  while (travelled < q.length) {
    const radius = pick(q.radii, q.random()) * (0.94 + 0.12 * q.random())
    const hairpin = radius < 12
    const least = radius > 85 ? 0.24 : 0.32
    const angle = hairpin
      ? 2.5 + 0.4 * q.random()
      : q.random() < 0.12
        ? 1.3 + 0.4 * q.random()
        : least * (1 + 0.9 * q.random())
    const side = heading + angle > 1.5 ? 'right' : heading - angle < -1.5 ? 'left' : q.random() < 0.5 ? 'left' : 'right'
    const long = angle > 1.25 && !hairpin
    const second = long && q.random() < 0.5 ? { second: radius * (q.random() < 0.7 ? 0.64 : 1.55) } : {}
    const crest = !hairpin && q.random() < 0.1 ? { crest: { at: 0.3 + 0.3 * q.random(), radius: 260 } } : {}
    const before = corners.length === 0 ? 80 : q.gap()
    corners.push({ side, radius, angle, before, ...second, ...crest })
    heading += side === 'left' ? angle : -angle
    travelled += before + (radius * angle) / 0.9
  }
  return corners
}

function pick(shares: readonly (readonly [number, number])[], u: number): number {
  let sum = 0
  const total = shares.reduce((t, [, share]) => t + share, 0)
  for (const [value, share] of shares) {
    sum += share / total
    if (u < sum) return value
  }
  return shares.at(-1)![0]
}

/** What this crew says besides grade and side. A gravel stage is spoken at about 2.4 words a second (common practice, no source), six or seven words a call. */
const REMARKS: readonly Remarks[] = [
  {},
  { after: "don't cut" },
  { after: 'rocks inside keep out' },
  { after: "over bump don't cut" },
  { after: "late don't cut logs inside" },
  { after: 'keep in ditch outside' },
  { before: 'slowing', after: 'bad camber' },
  { after: "narrows don't cut" },
  { after: 'over bump keep middle' },
  { after: 'wide entry rocks outside' },
  { before: 'caution', after: "loose don't cut" },
  { after: "at junction don't cut" },
  { after: 'through dip keep left' },
  { after: "late big rocks inside don't cut" },
]

function forest(): void {
  const random = seededRandom(50)
  const radii = [
    [9, 3],
    [17, 5],
    [27, 9],
    [42, 15],
    [65, 24],
    [100, 20],
    [150, 11],
    [260, 2],
  ] as const
  const gap = () => (random() < 0.24 ? 6 + 5 * random() : random() < 0.3 ? 15 + 5 * random() : 16 + 14 * random() ** 2)
  const corners = invent({ random, length: 8500, radii, gap })
  const remarks = new Map<number, Remarks>()
  corners.forEach((corner, i) => {
    const u = random()
    if (corner.radius < 20 && corners[i - 1] && corners[i - 1]!.radius > 60 && corner.before > 30)
      remarks.set(i, { before: 'caution' })
    else remarks.set(i, REMARKS[Math.floor(u * REMARKS.length)]!)
  })
  const squeeze = Math.floor(corners.length * 0.62)
  tightPlace(corners, remarks, squeeze)
  const road = layRoad(corners, 60, (s) => 120 + 34 * Math.sin(s / 900) + 11 * Math.sin(s / 260))
  write('tarn-hollow', {
    'stage.json': settings({ title: 'Tarn Hollow', car: 'four-wheel-drive', surface: 'gravel', kmh: 80 }),
    'notes.txt': `# Tarn Hollow, island of Venna: an invented stage\n${callRoad(corners, remarks, numberCrew, '60 to finish')}`,
    'route.gpx': recceLog(road, 'Tarn Hollow recce', new Date('2031-05-02T08:10:00Z'), random),
  })
}

/** Corners a breath apart, each with words that must be said: the one place that does not fit at the demo's own speed. */
const TIGHT_CORNERS = 9

function tightPlace(corners: TrueCorner[], remarks: Map<number, Remarks>, at: number): void {
  const words: readonly Remarks[] = [
    { after: "over bump, don't cut, big rocks inside" },
    { before: 'double caution', after: "bad camber, don't cut, logs outside" },
    { after: "narrows, don't cut, ditch outside" },
    { before: 'caution', after: "loose, don't cut, rocks inside" },
  ]
  for (let k = 0; k < TIGHT_CORNERS; k++) {
    const radius = [100, 65, 42, 65][k % 4]!
    corners[at + k] = {
      side: k % 2 === 0 ? 'left' : 'right',
      radius,
      angle: radius > 85 ? 0.36 : 0.44,
      before: k === 0 ? 70 : 7,
    }
    remarks.set(at + k, words[k % 4]!)
  }
}

function coast(): void {
  const random = seededRandom(7)
  const radii = [
    [25, 14],
    [55, 34],
    [110, 38],
    [260, 14],
  ] as const
  const gap = () => (random() < 0.15 ? 6 + 5 * random() : 40 + 160 * random() ** 1.5)
  const corners = invent({ random, length: 4990, radii, gap })
  const remarks = new Map<number, Remarks>([
    [4, { after: "don't cut" }],
    [9, { before: 'caution' }],
    [15, { after: 'wall outside' }],
  ])
  const road = layRoad(corners, 90, (s) => 22 + 9 * Math.sin(s / 640) + 4 * Math.sin(s / 170))
  write('skerry-road', {
    'stage.json': settings({
      title: 'Skerry Road',
      car: 'front-drive-sport',
      surface: 'tarmac',
      kmh: 78,
      units: 'miles',
    }),
    'notes.txt': `# Skerry Road, island of Venna: an invented stage\n# yards and miles an hour\n${callRoad(corners, remarks, yardCrew, '100 to finish')}`,
    'route.gpx': recceLog(road, 'Skerry Road recce', new Date('2031-05-02T11:40:00Z'), random),
  })
}

function notesOnly(): void {
  const random = seededRandom(19)
  const radii = [
    [9, 5],
    [27, 12],
    [42, 20],
    [65, 28],
    [100, 20],
    [150, 11],
  ] as const
  const gap = () => (random() < 0.2 ? 8 : 30 + 80 * random())
  const corners = invent({ random, length: 2950, radii, gap })
  const remarks = new Map<number, Remarks>([
    [3, { after: "don't cut" }],
    [8, { before: 'caution' }],
  ])
  write('quarry-steps', {
    'stage.json': settings({
      title: 'Quarry Steps',
      car: 'front-drive-club',
      surface: 'gravel',
      kmh: 60,
      length: 3000,
    }),
    'notes.txt': `# Quarry Steps, island of Venna: an invented stage, notes only\n${callRoad(corners, remarks, numberCrew, '40 to finish')}`,
  })
}

function settings(q: {
  title: string
  car: string
  surface: string
  kmh: number
  units?: string
  length?: number
}): string {
  const stage = {
    title: q.title,
    units: q.units ?? 'metric',
    car: q.car,
    surface: q.surface,
    target: { kind: 'average', speed: Math.round((q.kmh / 3.6) * 1000) / 1000 },
    voice: 'en',
    rate: 200,
    wording: 'standard',
    ...(q.length === undefined ? {} : { length: q.length }),
  }
  return `${JSON.stringify(stage, null, 2)}\n`
}

forest()
coast()
notesOnly()
