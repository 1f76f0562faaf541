import type { RoadTable } from '../../server/api/wire.ts'

const WIDTH = 1000
const HEIGHT = 90
const BENDS = 64
/** A bend of this radius fills its half of the band. */
const FULL = 12

/** Heights along the road, and under them how it bends: up is left, down is right. The numbers stand in the captions. */
export function HeightProfile({ road, lit }: { road: RoadTable; lit: { from: number; to: number } | null }) {
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  let sharpest = 0
  for (const z of road.z) {
    low = Math.min(low, z)
    high = Math.max(high, z)
  }
  for (const k of road.curvature) sharpest = Math.max(sharpest, Math.abs(k))
  const drawn = road.source === 'notes' ? [] : road.features.filter((one) => one.kind === 'crest' && one.drawn)
  const x = (station: number) => (station / road.length) * WIDTH
  const rect = (height: number) =>
    lit && (
      <rect x={x(lit.from)} width={Math.max(3, x(lit.to) - x(lit.from))} y={0} height={height} className="land-lit" />
    )
  return (
    <figure className="heights">
      <figcaption className="small soft">
        {high - low < 0.5 ? 'height: level, none in the file' : `height, ${low.toFixed(0)}–${high.toFixed(0)} m`}
        {road.source === 'notes' && ', drawn from the notes'}
        {drawn.length > 0 &&
          `; ${drawn.length} ${drawn.length === 1 ? 'crest' : 'crests'} drawn from the notes, where the heights show none (dashed)`}
      </figcaption>
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} preserveAspectRatio="none" aria-hidden="true">
        <path d={land(road, low, high)} className="land" />
        {drawn.map((crest) => (
          <line
            key={crest.from}
            x1={x((crest.from + crest.to) / 2)}
            x2={x((crest.from + crest.to) / 2)}
            y1={0}
            y2={HEIGHT}
            className="land-drawn"
          />
        ))}
        {rect(HEIGHT)}
      </svg>
      <figcaption className="small soft">
        bends, left up and right down{sharpest > 0 ? `; the tightest has ${(1 / sharpest).toFixed(0)} m` : ''}
      </figcaption>
      <svg viewBox={`0 0 ${WIDTH} ${BENDS}`} preserveAspectRatio="none" aria-hidden="true" className="bends">
        <path d={bends(road)} className="land" />
        {rect(BENDS)}
      </svg>
    </figure>
  )
}

function land(road: RoadTable, low: number, high: number): string {
  let d = `M0 ${HEIGHT}`
  const every = Math.max(1, Math.floor(road.z.length / 500))
  for (let i = 0; i < road.z.length; i += every) {
    const y = HEIGHT - 6 - ((road.z[i]! - low) / Math.max(1, high - low)) * (HEIGHT - 16)
    d += `L${((i / Math.max(1, road.z.length - 1)) * WIDTH).toFixed(1)} ${y.toFixed(1)}`
  }
  return `${d}L${WIDTH} ${HEIGHT}Z`
}

/** The sharpest bend of each column, by the square root: a fast bend shows beside a hairpin. */
function bends(road: RoadTable): string {
  const n = road.curvature.length
  const columns = Math.min(n, 600)
  let d = `M0 ${BENDS / 2}`
  for (let c = 0; c < columns; c++) {
    let most = 0
    for (let i = Math.floor((c * n) / columns); i < Math.floor(((c + 1) * n) / columns); i++)
      if (Math.abs(road.curvature[i]!) > Math.abs(most)) most = road.curvature[i]!
    const y = BENDS / 2 - Math.sign(most) * Math.min(1, Math.sqrt(Math.abs(most) * FULL)) * (BENDS / 2 - 2)
    d += `L${((c / columns) * WIDTH).toFixed(1)} ${y.toFixed(1)}L${(((c + 1) / columns) * WIDTH).toFixed(1)} ${y.toFixed(1)}`
  }
  return `${d}L${WIDTH} ${BENDS / 2}Z`
}
