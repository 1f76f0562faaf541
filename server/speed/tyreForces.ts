import { GRAVITY, type MetresPerSecond, type MetresPerSecond2 } from '../units.ts'
import type { Car, Surface } from './speed.ts'

/** Density of air at 15 °C and sea level, kg/m³ (ISO 2533). */
const AIR_DENSITY = 1.225
/** Power is scaled by commitment^1.5, so that v/√c obeys one equation whatever c is (windows.md §2). */
const POWER_EXPONENT = 1.5

/** What a car can do per unit of its mass, at a commitment. */
export interface TyreForces {
  /** Grip at full commitment, and the share of it used: μ and c·μ. */
  readonly grip: number
  readonly usedGrip: number
  /** Commitment c: share of crest load used. */
  readonly commitment: number
  readonly share: number
  /** Drag: kd·v², kd = ½ρ·CdA/m, 1/m. */
  readonly drag: number
  /** Rolling: cr·G, m/s². */
  readonly rolling: MetresPerSecond2
  readonly topSpeed: MetresPerSecond
  /** Engine: power per mass at full and at used commitment, W/kg, or one constant acceleration. */
  readonly engine: { readonly full: number; readonly used: number } | { readonly constant: MetresPerSecond2 }
}

/** Commitment c in (0, 1] scales grip by c and power by c^1.5. Above 1 is allowed for studies of what no car can do. */
export function tyreForces(car: Car, surface: Surface, commitment: number): TyreForces {
  if (!(commitment > 0)) throw new RangeError(`tyreForces: commitment must be > 0, got ${commitment}`)
  const full = car.power / car.mass
  return {
    grip: surface.grip * Math.max(1, commitment),
    usedGrip: commitment * surface.grip,
    commitment,
    share: car.share,
    drag: (0.5 * AIR_DENSITY * car.dragArea) / car.mass,
    rolling: surface.rolling * GRAVITY,
    topSpeed: car.topSpeed,
    engine: { full: full * Math.max(1, commitment ** POWER_EXPONENT), used: full * commitment ** POWER_EXPONENT },
  }
}

/** A point with a circle of grip and one drive acceleration: the car of the closed-form checks. */
export function pointForces(q: {
  drive: MetresPerSecond2
  tyre: MetresPerSecond2
  topSpeed: MetresPerSecond
}): TyreForces {
  const grip = q.tyre / GRAVITY
  return {
    grip,
    usedGrip: grip,
    commitment: 1,
    share: 1,
    drag: 0,
    rolling: 0,
    topSpeed: q.topSpeed,
    engine: { constant: q.drive },
  }
}
