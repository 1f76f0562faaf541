import { type ReactNode, useRef } from 'react'
import type { MapView, useMapView } from './useMapView.ts'

/** What is being dragged on a map: a thing on it by its name, or nothing, which is the map itself. Pixels of the map. */
export interface Grip {
  readonly name: string | null
  /** How far the pointer has gone since it was pressed. */
  readonly far: number
  readonly x: number
  readonly y: number
}

interface Props {
  readonly map: ReturnType<typeof useMapView>
  readonly role: 'img' | 'group'
  readonly label: string
  /** Attribute whose value names what can be dragged. */
  readonly draggable: string
  readonly dragged: (grip: Grip) => void
  readonly dropped: (grip: Grip) => void
  readonly children: ReactNode
}

/** Less than this is a trembling hand. Pixels. */
const STILL = 3

/** A map that moves by drag and keys and zooms by wheel, keys and buttons; named things on it are dragged by themselves. */
export function MapFrame({ map, role, label, draggable, dragged, dropped, children }: Props) {
  const held = useRef<{ x: number; y: number; from: MapView; name: string | null } | null>(null)
  const gripAt = (event: React.PointerEvent<SVGSVGElement>): Grip => {
    const rect = event.currentTarget.getBoundingClientRect()
    const { x, y, name } = held.current!
    return {
      name,
      far: Math.hypot(event.clientX - x, event.clientY - y),
      x: event.clientX - rect.left,
      y: event.clientY - rect.top,
    }
  }
  return (
    <div className="plan-frame">
      <svg
        ref={map.box}
        className="plan"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: keys zoom and move the map, so it must take the focus
        tabIndex={0}
        role={role}
        aria-label={`${label} Plus and minus zoom, arrows move.`}
        onKeyDown={map.keyDown}
        onPointerDown={(event) => {
          const name = (event.target as Element).closest(`[${draggable}]`)?.getAttribute(draggable) ?? null
          held.current = { x: event.clientX, y: event.clientY, from: map.view, name }
          event.currentTarget.setPointerCapture(event.pointerId)
        }}
        onPointerMove={(event) => {
          if (!held.current) return
          const grip = gripAt(event)
          const { from, x, y } = held.current
          if (grip.name !== null) dragged(grip)
          else if (grip.far > STILL)
            map.setMoved({ ...from, x: from.x + event.clientX - x, y: from.y + event.clientY - y })
        }}
        onPointerUp={(event) => {
          if (!held.current) return
          const grip = gripAt(event)
          held.current = null
          dropped(grip)
        }}
      >
        {children}
      </svg>
      <div className="plan-zoom">
        <button type="button" onClick={map.nearer}>
          nearer
        </button>
        <button type="button" onClick={map.farther}>
          farther
        </button>
        <button type="button" onClick={() => map.setMoved(null)}>
          whole road
        </button>
      </div>
    </div>
  )
}
