import type { RoadTable } from '../../server/api/wire.ts'

/** Heights along the road; the numbers stand in its caption. */
export function HeightProfile({ road, lit }: { road: RoadTable; lit: { from: number; to: number } | null }) {
  const low = Math.min(...road.z)
  const high = Math.max(...road.z)
  const width = 1000
  const height = 90
  const y = (z: number) => height - 6 - ((z - low) / Math.max(1, high - low)) * (height - 16)
  let d = `M0 ${height}`
  const every = Math.max(1, Math.floor(road.z.length / 500))
  for (let i = 0; i < road.z.length; i += every)
    d += `L${((i / (road.z.length - 1)) * width).toFixed(1)} ${y(road.z[i]!).toFixed(1)}`
  d += `L${width} ${height}Z`
  const x = (station: number) => (station / road.length) * width
  return (
    <figure className="heights">
      <figcaption className="small soft">
        {high - low < 0.5 ? 'height: level, none in the file' : `height, ${low.toFixed(0)}–${high.toFixed(0)} m`}
      </figcaption>
      <svg viewBox={`0 0 ${width} ${height}`} preserveAspectRatio="none" aria-hidden="true">
        <path d={d} className="land" />
        {lit && (
          <rect
            x={x(lit.from)}
            width={Math.max(3, x(lit.to) - x(lit.from))}
            y={0}
            height={height}
            className="land-lit"
          />
        )}
      </svg>
    </figure>
  )
}
