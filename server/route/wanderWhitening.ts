import type { Metres } from '../units.ts'

/** Fixes beside a curve: station, how far left of it, the normal there, when; ascending. */
export interface BesideCurve {
  readonly station: Float64Array
  readonly across: Float64Array
  readonly normalX: Float64Array
  readonly normalY: Float64Array
  readonly time: Float64Array
  /** How many fixes each stands for. */
  readonly count: Float64Array
}

/** White noise of a fix, and the wander of the receiver: variance of its step in a second, m². */
export interface LogNoise {
  readonly white: Metres
  readonly wander: number
}

/** What turns data with that noise into data of unit white noise. */
export interface WanderWhitening {
  /** The datum the walk goes out from, both ways. */
  readonly middle: number
  readonly normalX: Float64Array
  readonly normalY: Float64Array
  readonly gainX: Float64Array
  readonly gainY: Float64Array
  readonly scale: Float64Array
  /** ln det of the covariance. */
  readonly logDeterminant: number
}

/**
 * Data i = first … first + n − 1: white noise σ²/count and a random walk b in the plane seen across the road, nᵢ·b(tᵢ), which is 0 at the middle datum and goes
 * both ways from there. A Kalman filter of two states (Kalman 1960) run outward gives each datum's innovation, and with it L⁻¹ and ln det of the covariance L Lᵀ
 * in O(n); its gains do not depend on the data.
 */
export function wanderWhitening(beside: BesideCurve, first: number, n: number, noise: LogNoise): WanderWhitening {
  const middle = n >> 1
  const out = {
    middle,
    normalX: beside.normalX.subarray(first, first + n),
    normalY: beside.normalY.subarray(first, first + n),
    gainX: new Float64Array(n),
    gainY: new Float64Array(n),
    scale: new Float64Array(n),
  }
  let logDeterminant = 0
  for (const step of [1, -1]) {
    let [xx, xy, yy] = [0, 0, 0]
    for (let i = step > 0 ? middle : middle - 1; i >= 0 && i < n; i += step) {
      const before = step > 0 ? Math.max(middle, i - 1) : i + 1
      const walked = noise.wander * Math.abs(beside.time[first + i]! - beside.time[first + before]!)
      xx += walked
      yy += walked
      const nx = out.normalX[i]!
      const ny = out.normalY[i]!
      const px = xx * nx + xy * ny
      const py = xy * nx + yy * ny
      const variance = nx * px + ny * py + noise.white ** 2 / beside.count[first + i]!
      const kx = px / variance
      const ky = py / variance
      out.gainX[i] = kx
      out.gainY[i] = ky
      out.scale[i] = 1 / Math.sqrt(variance)
      logDeterminant += Math.log(variance)
      xx -= kx * px
      xy -= kx * py
      yy -= ky * py
    }
  }
  return { ...out, logDeterminant }
}

/** L⁻¹ of the data's values, in place. */
export function whitenInPlace(w: WanderWhitening, values: Float64Array): void {
  walkInPlace(w, values, w.middle, values.length, 1)
  walkInPlace(w, values, w.middle - 1, -1, -1)
}

function walkInPlace(w: WanderWhitening, values: Float64Array, from: number, to: number, step: number): void {
  let x = 0
  let y = 0
  for (let i = from; i !== to; i += step) {
    const innovation = values[i]! - w.normalX[i]! * x - w.normalY[i]! * y
    x += w.gainX[i]! * innovation
    y += w.gainY[i]! * innovation
    values[i] = innovation * w.scale[i]!
  }
}
