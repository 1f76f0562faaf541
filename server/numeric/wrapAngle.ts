import type { Radians } from '../units.ts'

/** The same direction in [−π, π). Throws RangeError unless finite. */
export function wrapAngle(angle: Radians): Radians {
  if (!Number.isFinite(angle)) throw new RangeError(`wrapAngle: angle must be finite, got ${angle}`)
  const turns = angle - 2 * Math.PI * Math.floor((angle + Math.PI) / (2 * Math.PI))
  return turns >= Math.PI ? turns - 2 * Math.PI : turns
}
