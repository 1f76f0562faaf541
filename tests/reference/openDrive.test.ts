import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { clothoidPoints } from '../../server/route/designedCurve.ts'
import { recordEnd } from '../../server/route/importOpenDrive.ts'
import { importRoute } from '../../server/route/importRoute.ts'
import { toPlane } from '../../server/route/localPlane.ts'
import { readOpenDrive } from '../../server/route/openDriveRoads.ts'
import { hasShared, sharedPath } from '../sharedData.ts'

describe('designed curves against published values', () => {
  it('gives the Fresnel integrals at 1 (Abramowitz & Stegun 7.3; NIST DLMF 7.2)', () => {
    // Heading π s²/2, so curvature runs from 0 to π over a length of 1.
    const { x, y } = clothoidPoints({ x: 0, y: 0, heading: 0, length: 1 }, 0, Math.PI, 20)
    expect(x.at(-1)).toBeCloseTo(0.7798934003768228, 10)
    expect(y.at(-1)).toBeCloseTo(0.4382591473903548, 10)
  })

  it('gives the end of the clothoid A = 80, R = 100, L = 64 (series expansion)', () => {
    const { x, y } = clothoidPoints({ x: 0, y: 0, heading: 0, length: 64 }, 0, 1 / 100, 64)
    expect(x.at(-1)).toBeCloseTo(63.34774, 5)
    expect(y.at(-1)).toBeCloseTo(6.776897, 5)
  })

  it.skipIf(!hasShared)('keeps the published starts of the sample road "tunnels" within a millimetre (esmini)', () => {
    const draft = importRoute(readFileSync(sharedPath('data/xodr/tunnels.xodr')), 'tunnels.xodr')
    // Records start at 100, 120 and 195 m; what is tested is where the record before ends.
    const before = clothoidPoints({ x: 50, y: 0, heading: 0, length: 50 }, 0, 0.02, 50)
    expect(Math.hypot(before.x[50]! - 98.76438441001723, before.y[50]! - 8.185702368785028)).toBeLessThan(1e-3)
    expect([draft.easting[100], draft.northing[100]]).toEqual([98.76438441001723, 8.185702368785028])
    const turned = clothoidPoints(
      { x: 113.95945296118126, y: 20.984332049770444, heading: 0.9, length: 75 },
      0.02,
      -0.02,
      75,
    )
    expect(Math.hypot(turned.x[75]! - 144.39480120564744, turned.y[75]! - 89.01926936010614)).toBeLessThan(1e-3)
  })
})

it('measures the distance between places as Karney’s GeodTest does', () => {
  const there = toPlane({ latitude: 78.10174623178, longitude: 0 }, 78.09971103163879, 0.014156770744057927)
  expect(Math.hypot(there.x, there.y)).toBeCloseTo(397.364659, 5)
})

const DRIVES = [
  'crest-curve',
  'curves_elevation',
  'e6mini',
  'poly3_and_border_record',
  'qc_parampoly3_length_valid',
  'soderleden',
  'tunnels',
  'velodrome',
]

describe.skipIf(!hasShared)('where each record of a published OpenDRIVE file ends', () => {
  it.each(DRIVES)('is within a millimetre of where the next is said to start: %s', (name) => {
    expect(worstJoint(`${name}.xodr`).worst).toBeLessThan(1e-3)
  })

  it('is within 1.1 mm in a town of 234 roads and 871 joints, given to seven figures', () => {
    const { worst, joints } = worstJoint('libOpenDRIVE_test.xodr')
    expect(joints).toBe(871)
    expect(worst).toBeLessThan(1.1e-3)
  })
})

/** Farthest that a record, followed to its end, is from the start of the next as the file gives it. */
function worstJoint(file: string): { worst: number; joints: number } {
  const { roads } = readOpenDrive(readFileSync(sharedPath(`data/xodr/${file}`)), file)
  let worst = 0
  let joints = 0
  for (const { geometries } of roads)
    for (let i = 0; i + 1 < geometries.length; i++) {
      if (!(geometries[i]!.length > 0)) continue
      const end = recordEnd(geometries[i]!)
      worst = Math.max(worst, Math.hypot(end.x - geometries[i + 1]!.x, end.y - geometries[i + 1]!.y))
      joints++
    }
  return { worst, joints }
}
