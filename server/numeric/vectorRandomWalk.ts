/**
 * Offset (x, y) at even nodes from data across a line only: minimise Σ w_i (n_i·d(at_i) − r_i)² + stiffness Σ_j |d_{j+1} − d_j|², d straight between nodes.
 * A random walk seen through one direction at a time; where no datum is, it stays as it was last. Block tridiagonal, O(nodes + data).
 * `at` in nodes within [0, nodes − 1]; `normalX`, `normalY` unit vectors; nodes ≥ 2, stiffness > 0, at least one datum of weight > 0.
 */
export function vectorRandomWalk(
  nodes: number,
  data: {
    readonly at: ArrayLike<number>
    readonly normalX: ArrayLike<number>
    readonly normalY: ArrayLike<number>
    readonly value: ArrayLike<number>
    readonly weight: ArrayLike<number>
  },
  stiffness: number,
): { x: Float64Array; y: Float64Array } {
  if (!(nodes >= 2)) throw new RangeError(`vectorRandomWalk: needs 2 nodes, got ${nodes}`)
  if (!(stiffness > 0)) throw new RangeError(`vectorRandomWalk: stiffness must be > 0, got ${stiffness}`)
  // Diagonal blocks (xx, xy, yy), off-diagonal blocks (to the next node) and right sides.
  const diagonal = new Float64Array(3 * nodes)
  const beside = new Float64Array(3 * nodes)
  const right = new Float64Array(2 * nodes)
  for (let j = 0; j < nodes; j++) {
    const ends = (j > 0 ? stiffness : 0) + (j + 1 < nodes ? stiffness : 0)
    diagonal[3 * j] = ends + RIDGE
    diagonal[3 * j + 2] = ends + RIDGE
    beside[3 * j] = -stiffness
    beside[3 * j + 2] = -stiffness
  }
  for (let i = 0; i < data.at.length; i++) {
    const w = data.weight[i]!
    if (!(w > 0)) continue
    const j = Math.max(0, Math.min(nodes - 2, Math.floor(data.at[i]!)))
    const b = Math.max(0, Math.min(1, data.at[i]! - j))
    const a = 1 - b
    const nx = data.normalX[i]!
    const ny = data.normalY[i]!
    addBlockInPlace(diagonal, j, w * a * a, nx, ny)
    addBlockInPlace(diagonal, j + 1, w * b * b, nx, ny)
    addBlockInPlace(beside, j, w * a * b, nx, ny)
    const r = w * data.value[i]!
    right[2 * j] = right[2 * j]! + a * r * nx
    right[2 * j + 1] = right[2 * j + 1]! + a * r * ny
    right[2 * j + 2] = right[2 * j + 2]! + b * r * nx
    right[2 * j + 3] = right[2 * j + 3]! + b * r * ny
  }
  return solve(nodes, diagonal, beside, right)
}

/** Holds the direction no datum ever sees (a dead straight road). */
const RIDGE = 1e-6

function addBlockInPlace(blocks: Float64Array, j: number, w: number, nx: number, ny: number): void {
  blocks[3 * j] = blocks[3 * j]! + w * nx * nx
  blocks[3 * j + 1] = blocks[3 * j + 1]! + w * nx * ny
  blocks[3 * j + 2] = blocks[3 * j + 2]! + w * ny * ny
}

/** Block elimination (Thomas): D_j ← D_j − B_{j−1}ᵀ D_{j−1}⁻¹ B_{j−1}; every block is symmetric. */
function solve(nodes: number, diagonal: Float64Array, beside: Float64Array, right: Float64Array) {
  const x = new Float64Array(nodes)
  const y = new Float64Array(nodes)
  for (let j = 0; j < nodes; j++) {
    if (j > 0) {
      const [ixx, ixy, iyy] = inverse(diagonal, j - 1)
      const bxx = beside[3 * j - 3]!
      const bxy = beside[3 * j - 2]!
      const byy = beside[3 * j - 1]!
      // M = B D⁻¹, rows by columns.
      const mxx = bxx * ixx + bxy * ixy
      const mxy = bxx * ixy + bxy * iyy
      const myx = bxy * ixx + byy * ixy
      const myy = bxy * ixy + byy * iyy
      diagonal[3 * j] = diagonal[3 * j]! - (mxx * bxx + mxy * bxy)
      diagonal[3 * j + 1] = diagonal[3 * j + 1]! - (mxx * bxy + mxy * byy)
      diagonal[3 * j + 2] = diagonal[3 * j + 2]! - (myx * bxy + myy * byy)
      right[2 * j] = right[2 * j]! - (mxx * right[2 * j - 2]! + mxy * right[2 * j - 1]!)
      right[2 * j + 1] = right[2 * j + 1]! - (myx * right[2 * j - 2]! + myy * right[2 * j - 1]!)
    }
  }
  for (let j = nodes - 1; j >= 0; j--) {
    let rx = right[2 * j]!
    let ry = right[2 * j + 1]!
    if (j + 1 < nodes) {
      rx -= beside[3 * j]! * x[j + 1]! + beside[3 * j + 1]! * y[j + 1]!
      ry -= beside[3 * j + 1]! * x[j + 1]! + beside[3 * j + 2]! * y[j + 1]!
    }
    const [ixx, ixy, iyy] = inverse(diagonal, j)
    x[j] = ixx * rx + ixy * ry
    y[j] = ixy * rx + iyy * ry
  }
  return { x, y }
}

function inverse(blocks: Float64Array, j: number): [number, number, number] {
  const a = blocks[3 * j]!
  const b = blocks[3 * j + 1]!
  const c = blocks[3 * j + 2]!
  const determinant = a * c - b * b
  return [c / determinant, -b / determinant, a / determinant]
}
