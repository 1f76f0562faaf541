import { parseNotes } from '../../server/notes/parseNotes.ts'
import { placeCalls } from '../../server/placement/placeCalls.ts'
import { assembleRoad } from '../../server/route/assembleRoad.ts'
import { buildRoute } from '../../server/route/buildRoute.ts'
import { importRoute } from '../../server/route/importRoute.ts'
import { joinLines } from '../../server/route/joinLines.ts'
import { fromPlane } from '../../server/route/localPlane.ts'
import { RoadThread } from '../../server/route/roadThread.ts'
import type { Route } from '../../server/route/route.ts'
import { calledRoad } from '../made/calledRoad.ts'
import { seededRandom } from '../seededRandom.ts'
import { processorMs } from './timed.ts'

const ORIGIN = { latitude: 47, longitude: 8 }
/** A careful hand on a map, or a survey. */
const NOISE = 0.1

/** A point a metre: from the file to placed calls, and what a server does meanwhile. Seed 5. Processor time, as others may be working beside. */
export async function run(): Promise<void> {
  const rows = []
  for (const [km, times] of [
    [100, false],
    [100, true],
    [200, false],
  ] as const) {
    const stage = calledRoad({ seed: 5, length: km * 1000 })
    const file = new TextEncoder().encode(everyMetre(buildRoute(stage.draft), times))
    let draft = importRoute(file, 'big.gpx')
    const reading = processorMs(() => {
      draft = importRoute(file, 'big.gpx')
    })
    let route = assembleRoad([{ name: 'big.gpx', bytes: file }], null).route
    const building = processorMs(() => {
      route = buildRoute(joinLines([draft]).draft)
    })
    const { notes } = parseNotes(stage.notes, {})
    const placing = processorMs(() => placeCalls(notes, route))
    rows.push({
      km,
      points: draft.northing.length,
      times,
      MB: Math.round(file.length / 1e6),
      'read ms': reading,
      'build ms': building,
      'place ms': placing,
      'all ms': reading + building + placing,
      ...(await apart(file)),
    })
  }
  console.table(rows)
}

/** The same road built in its thread: how long it takes, and the longest that this thread was kept from answering. */
async function apart(file: Uint8Array): Promise<{ 'apart ms': number; 'longest wait ms': number }> {
  const thread = new RoadThread()
  await thread.assemble([{ name: 'small.csv', bytes: new TextEncoder().encode('x,y\n0,0\n100,0\n') }], null)
  let last = performance.now()
  let longest = 0
  const beat = setInterval(() => {
    longest = Math.max(longest, performance.now() - last)
    last = performance.now()
  }, 1)
  const begun = performance.now()
  await thread.assemble([{ name: 'big.gpx', bytes: file }], null)
  const took = performance.now() - begun
  clearInterval(beat)
  await thread.close()
  return { 'apart ms': Math.round(took), 'longest wait ms': Math.round(longest) }
}

function everyMetre(road: Route, times: boolean): string {
  const random = seededRandom(5)
  const points: string[] = []
  for (let i = 0; i < road.x.length; i++) {
    const place = fromPlane(ORIGIN, road.x[i]! + NOISE * gauss(random), road.y[i]! + NOISE * gauss(random))
    const time = times ? `<time>${new Date((1_800_000_000 + i / 10) * 1000).toISOString()}</time>` : ''
    points.push(
      `<trkpt lat="${place.latitude.toFixed(8)}" lon="${place.longitude.toFixed(8)}"><ele>${road.z[i]!.toFixed(1)}</ele>${time}</trkpt>`,
    )
  }
  return `<gpx><trk><trkseg>${points.join('\n')}</trkseg></trk></gpx>`
}

const gauss = (random: () => number) => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random())
