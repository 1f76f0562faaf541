import { useCallback, useEffect, useMemo, useRef, useState } from 'react'
import type { PlanDocument, RoadTable } from '../../server/api/wire.ts'
import { clockInWords } from '../look/words.ts'
import { drawStrip, type StripColours, type StripView, stripHeight } from './drawStrip.ts'
import { blockAt, layOutStrip } from './stripLayout.ts'

const LETTER = 7.4
const LEAST_SCALE = 2
const MOST_SCALE = 200
const FIRST_SCALE = 62

interface Props {
  readonly plan: PlanDocument
  readonly road: RoadTable
  readonly chosen: number | null
  readonly choose: (i: number | null) => void
  /** Stage time to bring into view when it changes. */
  readonly look: { readonly time: number } | null
  readonly ghost: PlanDocument | null
}

/** The picture of speech against road on one time axis: wheel, drag, keys and touch move it; every block can be reached by keyboard and is read aloud. */
export function TalkStrip({ plan, road, chosen, choose, look, ghost }: Props) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const [width, setWidth] = useState(900)
  const [view, setView] = useState<StripView>({ from: (plan.calls[0]?.start ?? 0) - 2, scale: FIRST_SCALE })
  const [dark, setDark] = useState(() => matchMedia('(prefers-color-scheme: dark)').matches)
  const drag = useRef<{ x: number; from: number; moved: boolean } | null>(null)
  const layout = useMemo(() => layOutStrip(plan, view.scale, LETTER), [plan, view.scale])
  const height = stripHeight(layout.rows)

  const clamp = useCallback(
    (next: StripView): StripView => {
      const scale = Math.min(MOST_SCALE, Math.max(LEAST_SCALE, next.scale))
      const end = plan.run.time + 4
      const from = Math.max(Math.min(-2, (plan.calls[0]?.start ?? 0) - 2), Math.min(end - width / scale, next.from))
      return { scale, from }
    },
    [plan, width],
  )

  useEffect(() => {
    const watch = new ResizeObserver(([entry]) => setWidth(Math.max(200, entry!.contentRect.width)))
    watch.observe(canvas.current!.parentElement!)
    const scheme = matchMedia('(prefers-color-scheme: dark)')
    const flip = () => setDark(scheme.matches)
    scheme.addEventListener('change', flip)
    return () => {
      watch.disconnect()
      scheme.removeEventListener('change', flip)
    }
  }, [])

  useEffect(() => {
    if (look) setView((before) => clamp({ ...before, from: look.time - width / before.scale / 3 }))
  }, [look, clamp, width])

  // biome-ignore lint/correctness/useExhaustiveDependencies: a change of scheme changes what the tokens say
  const colours = useMemo(() => readColours(), [dark])
  useEffect(() => {
    const element = canvas.current!
    const ratio = Math.min(2, devicePixelRatio)
    element.width = Math.round(width * ratio)
    element.height = Math.round(height * ratio)
    const context = element.getContext('2d')!
    context.setTransform(ratio, 0, 0, ratio, 0, 0)
    drawStrip(context, width, { plan, road, layout, view, colours, chosen, ghost })
  }, [plan, road, layout, view, colours, chosen, width, height, ghost])

  useEffect(() => {
    const element = canvas.current!
    const wheel = (event: WheelEvent) => {
      event.preventDefault()
      const x = event.clientX - element.getBoundingClientRect().left
      setView((before) => {
        if (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY))
          return clamp({ ...before, from: before.from + (event.deltaX || event.deltaY) / before.scale })
        const scale = before.scale * Math.exp(-event.deltaY / 400)
        return clamp({
          scale,
          from: before.from + x / before.scale - x / Math.min(MOST_SCALE, Math.max(LEAST_SCALE, scale)),
        })
      })
    }
    element.addEventListener('wheel', wheel, { passive: false })
    return () => element.removeEventListener('wheel', wheel)
  }, [clamp])

  const show = (i: number) => {
    choose(i)
    const call = plan.calls[i]!
    setView((before) =>
      call.start < before.from || call.end > before.from + width / before.scale
        ? clamp({ ...before, from: call.start - width / before.scale / 3 })
        : before,
    )
  }

  const keys = (event: React.KeyboardEvent) => {
    const at = chosen ?? -1
    if (event.key === 'ArrowRight') show(Math.min(plan.calls.length - 1, at + 1))
    else if (event.key === 'ArrowLeft') show(Math.max(0, at - 1))
    else if (event.key === 'Home') show(0)
    else if (event.key === 'End') show(plan.calls.length - 1)
    else if (event.key === '+' || event.key === '=')
      setView((before) => clamp({ ...before, scale: before.scale * 1.3 }))
    else if (event.key === '-') setView((before) => clamp({ ...before, scale: before.scale / 1.3 }))
    else return
    event.preventDefault()
  }

  const now = chosen === null ? null : plan.calls[chosen]
  return (
    <div className="strip">
      <canvas
        ref={canvas}
        style={{ height }}
        tabIndex={0}
        role="slider"
        aria-label="Talk strip: calls against the road. Arrow keys go from call to call, plus and minus zoom."
        aria-valuemin={0}
        aria-valuemax={plan.calls.length - 1}
        aria-valuenow={chosen ?? 0}
        aria-valuetext={
          now
            ? `${now.say}, said at ${clockInWords(now.start)}, latest ${clockInWords(now.latest)}${now.late > 0.2 ? `, ${now.late.toFixed(1)} seconds over` : ''}`
            : 'no call chosen'
        }
        onKeyDown={keys}
        onPointerDown={(event) => {
          drag.current = { x: event.clientX, from: view.from, moved: false }
          event.currentTarget.setPointerCapture(event.pointerId)
        }}
        onPointerMove={(event) => {
          const held = drag.current
          if (!held) return
          if (Math.abs(event.clientX - held.x) > 4) held.moved = true
          if (held.moved)
            setView((before) => clamp({ ...before, from: held.from - (event.clientX - held.x) / before.scale }))
        }}
        onPointerUp={(event) => {
          const held = drag.current
          drag.current = null
          if (!held || held.moved) return
          const box = event.currentTarget.getBoundingClientRect()
          const row = layout.rows - 1 - Math.floor((event.clientY - box.top - 34) / 54)
          const time = view.from + (event.clientX - box.left) / view.scale
          const block = blockAt(layout, time, row, 8 / view.scale)
          choose(block ? block.i : null)
        }}
      />
      <div className="row small">
        <button
          type="button"
          className="quiet"
          onClick={() => setView((before) => clamp({ ...before, from: before.from - width / before.scale / 2 }))}
        >
          earlier
        </button>
        <button
          type="button"
          className="quiet"
          onClick={() => setView((before) => clamp({ ...before, from: before.from + width / before.scale / 2 }))}
        >
          later
        </button>
        <button
          type="button"
          className="quiet"
          onClick={() => setView((before) => clamp({ ...before, scale: before.scale * 1.4 }))}
        >
          closer
        </button>
        <button
          type="button"
          className="quiet"
          onClick={() => setView((before) => clamp({ ...before, scale: before.scale / 1.4 }))}
        >
          wider
        </button>
        <button
          type="button"
          className="quiet"
          onClick={() => setView(clamp({ from: -5, scale: width / (plan.run.time + 8) }))}
        >
          whole stage
        </button>
      </div>
    </div>
  )
}

function readColours(): StripColours {
  const style = getComputedStyle(document.documentElement)
  const token = (name: string) => style.getPropertyValue(`--${name}`).trim()
  return {
    sheet: token('sheet'),
    ink: token('ink'),
    soft: token('soft'),
    rule: token('rule'),
    voice: token('voice'),
    voiceEdge: token('voice-edge'),
    road: token('road'),
    roadEdge: token('road-edge'),
    mark: token('mark'),
    over: token('over'),
    overGround: token('over-ground'),
  }
}
