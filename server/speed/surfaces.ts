import type { Surface } from './speed.ts'

/**
 * Surfaces. Sources spread by a factor of two on loose roads, so only their order is checked from outside:
 * Noon, Engineering Analysis of Vehicular Accidents, 1994 (asphalt dry .65, wet .50; gravel .35; packed snow .20–.25; ice .10–.15) is of
 * ordinary tyres; rally tyres and studs are from memory.
 */
export const SURFACES: readonly Surface[] = [
  {
    id: 'tarmac',
    name: 'tarmac',
    grip: 0.95,
    rolling: 0.012,
    source: 'from memory; Noon 1994 has .65 for ordinary tyres',
  },
  {
    id: 'wet-tarmac',
    name: 'wet tarmac',
    grip: 0.7,
    rolling: 0.013,
    source: 'from memory; Noon 1994 has .50 for ordinary tyres',
  },
  {
    id: 'gravel',
    name: 'gravel',
    grip: 0.6,
    rolling: 0.03,
    source: 'a table of crushed stone, dry .6–.7; Noon 1994 has .35',
  },
  {
    id: 'snow',
    name: 'packed snow, studs',
    grip: 0.38,
    rolling: 0.03,
    source: 'from memory; Noon 1994 has .20–.25 without studs',
  },
  {
    id: 'ice',
    name: 'ice, studs',
    grip: 0.22,
    rolling: 0.02,
    source: 'from memory; Noon 1994 has .10–.15 without studs',
  },
]

/** The surface of that id. Throws RangeError naming those there are. */
export function findSurface(id: string): Surface {
  const surface = SURFACES.find((one) => one.id === id)
  if (!surface)
    throw new RangeError(`There is no surface "${id}"; there are ${SURFACES.map((one) => one.id).join(', ')}.`)
  return surface
}
