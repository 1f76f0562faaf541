import type { Route } from '../../route/route.ts'
import type { Metres } from '../../units.ts'

const POINTS = 120

/**
 * The road of a page as an SVG: its true shape, turned so that it leads from the top of the strip to the bottom, scaled alike both ways to fit, with a dot
 * where each call belongs. `width` and `height` in millimetres; stations within the road, from < to.
 */
export function mapStrip(
  route: Route,
  q: { from: Metres; to: Metres; calls: readonly Metres[]; width: number; height: number },
): string {
  if (!(q.from < q.to)) throw new RangeError(`mapStrip: from ${q.from} is not before to ${q.to}`)
  const at = (station: Metres) => {
    const i = Math.min(route.x.length - 1, Math.max(0, Math.round(station / route.step)))
    return { x: route.x[i]!, y: route.y[i]! }
  }
  const line = Array.from({ length: POINTS + 1 }, (_, i) => at(q.from + ((q.to - q.from) * i) / POINTS))
  const [first, last] = [line[0]!, line[POINTS]!]
  // Down the page is the way from first to last; a loop that ends where it began keeps north up.
  const way = Math.hypot(last.x - first.x, last.y - first.y)
  const [ex, ey] = way > 1 ? [(last.x - first.x) / way, (last.y - first.y) / way] : [0, -1]
  const turned = ({ x, y }: { x: number; y: number }) => ({
    across: -(x - first.x) * ey + (y - first.y) * ex,
    down: (x - first.x) * ex + (y - first.y) * ey,
  })
  const points = line.map(turned)
  const across = points.map((point) => point.across)
  const down = points.map((point) => point.down)
  const least = { across: Math.min(...across), down: Math.min(...down) }
  const most = { across: Math.max(...across), down: Math.max(...down) }
  const edge = 1.5
  const scale = Math.min(
    (q.width - 2 * edge) / Math.max(1, most.across - least.across),
    (q.height - 2 * edge) / Math.max(1, most.down - least.down),
  )
  const left = (q.width - scale * (most.across - least.across)) / 2
  const top = (q.height - scale * (most.down - least.down)) / 2
  // Seen from above with the way ahead pointing down the page, the road's left is the page's right.
  const place = (point: { across: number; down: number }) =>
    [left + scale * (point.across - least.across), top + scale * (point.down - least.down)].map((one) => one.toFixed(2))
  const path = points.map((point) => place(point).join(',')).join(' ')
  const dots = q.calls
    .filter((station) => station >= q.from && station <= q.to)
    .map((station) => {
      const [cx, cy] = place(turned(at(station)))
      return `<circle cx="${cx}" cy="${cy}" r="0.7"/>`
    })
  const [sx, sy] = place(points[0]!)
  return [
    `<svg class="strip" viewBox="0 0 ${q.width} ${q.height}" aria-hidden="true">`,
    `<polyline points="${path}"/>`,
    `<circle class="from" cx="${sx}" cy="${sy}" r="1.2"/>`,
    ...dots,
    '</svg>',
  ].join('')
}
