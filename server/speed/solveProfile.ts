import type { MetresPerSecond } from '../units.ts'
import { type SolvedSpeeds, solveForces } from './solveForces.ts'
import type { Car, RoadCells, SpeedProfile, Surface } from './speed.ts'
import { type TyreForces, tyreForces } from './tyreForces.ts'

/**
 * How far a bend is opened by using the road's width (windows.md §2: R' = R + e(1+cos θ/2)/(1−cos θ/2), e = 0.75 m gives 1.3–1.5 for
 * 20°–60°): curvature for cornering is divided by it. 1 for a driven log and for checks against solvers.
 */
export const USUAL_LINE = 1.3

export interface ProfileOptions {
  /** Speed over the start line; 0 is a standing start. */
  readonly entry?: MetresPerSecond
  /** ≥ 1. */
  readonly line?: number
}

/** Fastest run of a car on a road at a commitment in (0, 1] (share of grip and power used). See solveForces for the equations. */
export function solveProfile(
  q: { cells: RoadCells; car: Car; surface: Surface; commitment: number } & ProfileOptions,
): SpeedProfile {
  return profileOf(q.cells, tyreForces(q.car, q.surface, q.commitment), q)
}

/** The same from forces given outright; `into` as in solveForces. */
export function profileOf(
  cells: RoadCells,
  forces: TyreForces,
  options: ProfileOptions,
  into?: SolvedSpeeds,
): SpeedProfile {
  const solved = solveForces(cells, forces, { entry: options.entry ?? 0, line: options.line ?? USUAL_LINE }, into)
  const n = cells.curvature.length
  const duration = solved.time[n]!
  return {
    step: cells.step,
    ...solved,
    commitment: forces.commitment,
    duration,
    averageSpeed: (n * cells.step) / duration,
  }
}
