import { type KeyboardEvent, useEffect, useMemo, useRef, useState } from 'react'

export interface MapView {
  readonly x: number
  readonly y: number
  /** Pixels a metre. */
  readonly scale: number
}

interface Line {
  readonly x: readonly number[]
  readonly y: readonly number[]
}

const MARGIN = 26
const NEAREST_SCALE = 8
const KEY_STEP = 60
const KEY_ZOOM = 1.3
const BUTTON_ZOOM = 1.5

/** A map of a line, north up, that zooms by wheel, keys and buttons and moves by keys; moving by drag is the page's, which knows what else can be dragged. */
export function useMapView(line: Line) {
  const box = useRef<SVGSVGElement>(null)
  const [size, setSize] = useState({ width: 600, height: 460 })
  const fit = useMemo(() => fitView(line, size), [line, size])
  const [moved, setMoved] = useState<MapView | null>(null)
  const view = moved ?? fit

  useEffect(() => {
    const watch = new ResizeObserver(([entry]) =>
      setSize({ width: Math.max(200, entry!.contentRect.width), height: Math.max(200, entry!.contentRect.height) }),
    )
    watch.observe(box.current!)
    return () => watch.disconnect()
  }, [])
  useEffect(() => {
    const element = box.current!
    const wheel = (event: WheelEvent) => {
      event.preventDefault()
      const rect = element.getBoundingClientRect()
      zoom(Math.exp(-event.deltaY / 350), event.clientX - rect.left, event.clientY - rect.top)
    }
    element.addEventListener('wheel', wheel, { passive: false })
    return () => element.removeEventListener('wheel', wheel)
  })

  const zoom = (factor: number, px = size.width / 2, py = size.height / 2) => {
    setMoved((before) => {
      const old = before ?? fit
      const scale = Math.min(NEAREST_SCALE, Math.max(fit.scale * 0.7, old.scale * factor))
      const k = scale / old.scale
      return { scale, x: px - (px - old.x) * k, y: py - (py - old.y) * k }
    })
  }
  const keyDown = (event: KeyboardEvent) => {
    if (event.key === '+' || event.key === '=') zoom(KEY_ZOOM)
    else if (event.key === '-') zoom(1 / KEY_ZOOM)
    else if (event.key === '0') setMoved(null)
    else if (event.key === 'ArrowLeft') setMoved({ ...view, x: view.x + KEY_STEP })
    else if (event.key === 'ArrowRight') setMoved({ ...view, x: view.x - KEY_STEP })
    else if (event.key === 'ArrowUp') setMoved({ ...view, y: view.y + KEY_STEP })
    else if (event.key === 'ArrowDown') setMoved({ ...view, y: view.y - KEY_STEP })
    else return
    event.preventDefault()
  }
  return {
    box,
    size,
    fit,
    view,
    setMoved,
    zoom,
    nearer: () => zoom(BUTTON_ZOOM),
    farther: () => zoom(1 / BUTTON_ZOOM),
    keyDown,
  }
}

/** The line's rows from `first` to `last` as an SVG path, to a tenth of a pixel. */
export function linePath(line: Line, view: MapView, first = 0, last = line.x.length - 1): string {
  let d = ''
  for (let i = first; i <= last; i++)
    d += `${i === first ? 'M' : 'L'}${(view.x + line.x[i]! * view.scale).toFixed(1)} ${(view.y - line.y[i]! * view.scale).toFixed(1)}`
  return d
}

/** The row of a line nearest to a pixel of the map. */
export function nearestRow(line: Line, view: MapView, px: number, py: number): number {
  let best = 0
  let least = Number.POSITIVE_INFINITY
  for (let i = 0; i < line.x.length; i++) {
    const d = (view.x + line.x[i]! * view.scale - px) ** 2 + (view.y - line.y[i]! * view.scale - py) ** 2
    if (d < least) {
      least = d
      best = i
    }
  }
  return best
}

function fitView(line: Line, size: { width: number; height: number }): MapView {
  let [left, right, low, high] = [line.x[0]!, line.x[0]!, line.y[0]!, line.y[0]!]
  for (let i = 1; i < line.x.length; i++) {
    left = Math.min(left, line.x[i]!)
    right = Math.max(right, line.x[i]!)
    low = Math.min(low, line.y[i]!)
    high = Math.max(high, line.y[i]!)
  }
  const scale = Math.min(
    (size.width - 2 * MARGIN) / Math.max(1, right - left),
    (size.height - 2 * MARGIN) / Math.max(1, high - low),
  )
  return { scale, x: size.width / 2 - ((left + right) / 2) * scale, y: size.height / 2 + ((low + high) / 2) * scale }
}
