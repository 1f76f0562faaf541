import { useCallback, useEffect, useMemo, useRef, useState } from 'react'
import type { PlanDocument, RoadTable } from '../../server/api/wire.ts'
import { clockInWords, lengthInWords, type Units } from '../look/words.ts'
import { type AxisKind, stripAxis } from './stripAxis.ts'
import { blockAt, layOutStrip, TIGHT } from './stripLayout.ts'
import { drawStrip, rowAt, type StripColours, type StripView, stripHeight, WORD_FONT } from './talkStrip.ts'

/** Pixels a second: closest, widest, and at first. */
const MOST_SCALE = 240
/** Draw costs are written to the page once in so many draws. */
const DRAWS_TOLD = 50
const FIRST_SCALE = 62

interface Props {
  readonly plan: PlanDocument
  readonly road: RoadTable
  readonly units: Units
  readonly chosen: number | null
  readonly choose: (i: number | null) => void
  /** Stage time to bring into view when it changes. */
  readonly look: { readonly time: number } | null
  readonly ghost: PlanDocument | null
}

/** The picture of speech against road on one axis: wheel, drag, pinch and keys move it; the same facts stand in a list under it. */
export function TalkStrip({ plan, road, units, chosen, choose, look, ghost }: Props) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const [width, setWidth] = useState(900)
  const [kind, setKind] = useState<AxisKind>('time')
  const axis = useMemo(() => stripAxis(plan, kind, units), [plan, kind, units])
  const [view, setView] = useState<StripView>({ from: axis.from, scale: FIRST_SCALE })
  const [dark, setDark] = useState(() => matchMedia('(prefers-color-scheme: dark)').matches)
  const [faces, setFaces] = useState(0)
  const held = useRef(new Map<number, { x: number; y: number }>())
  const moved = useRef(false)
  // biome-ignore lint/correctness/useExhaustiveDependencies: words are measured again when their font has come
  const measure = useMemo(() => wordMeasure(), [faces])
  const layout = useMemo(
    () => layOutStrip(plan.calls, (time) => axis.at(time) * view.scale, measure),
    [plan, axis, view.scale, measure],
  )
  const height = stripHeight(layout.rows)

  const clamp = useCallback(
    (next: StripView): StripView => {
      const least = width / (axis.to - axis.from)
      const scale = Math.min(Math.max(least, MOST_SCALE / axis.perSecond), Math.max(least, next.scale))
      return { scale, from: Math.max(axis.from, Math.min(axis.to - width / scale, next.from)) }
    },
    [axis, width],
  )
  /** Zoomed by `factor` about a pixel, which keeps its place on the axis. */
  const zoomed = useCallback(
    (before: StripView, factor: number, x: number): StripView => {
      const scale = clamp({ ...before, scale: before.scale * factor }).scale
      return clamp({ scale, from: before.from + x / before.scale - x / scale })
    },
    [clamp],
  )

  useEffect(() => {
    const watch = new ResizeObserver(([entry]) => setWidth(Math.max(200, entry!.contentRect.width)))
    watch.observe(canvas.current!.parentElement!)
    const scheme = matchMedia('(prefers-color-scheme: dark)')
    const flip = () => setDark(scheme.matches)
    scheme.addEventListener('change', flip)
    void document.fonts.ready.then(() => setFaces((n) => n + 1))
    return () => {
      watch.disconnect()
      scheme.removeEventListener('change', flip)
    }
  }, [])

  /** Cost of the last draws, ms: what the strip bench reads. */
  const draws = useRef({ ms: new Float32Array(200), seen: 0 })
  const axisNow = useRef(axis)
  axisNow.current = axis
  // Only a new place to look at moves the view: a new plan or width does not take a crew away from where it has panned to.
  const clampNow = useRef(clamp)
  clampNow.current = clamp
  const widthNow = useRef(width)
  widthNow.current = width
  useEffect(() => {
    if (!look) return
    setView((before) =>
      clampNow.current({ ...before, from: axisNow.current.at(look.time) - widthNow.current / before.scale / 3 }),
    )
  }, [look])

  const changeAxis = (next: AxisKind) => {
    const other = stripAxis(plan, next, units)
    // The same moment stays at the left edge, at the same pixels a second on average.
    const call = plan.calls.find((one) => axis.at(one.start) >= view.from)
    setKind(next)
    setView({ from: call ? other.at(call.start) : other.from, scale: (view.scale * axis.perSecond) / other.perSecond })
  }

  // biome-ignore lint/correctness/useExhaustiveDependencies: a change of scheme changes what the tokens say
  const colours = useMemo(() => readColours(), [dark])
  useEffect(() => {
    const frame = requestAnimationFrame(() => {
      const element = canvas.current
      if (!element) return
      const ratio = Math.min(2, devicePixelRatio)
      const wide = Math.round(width * ratio)
      const high = Math.round(height * ratio)
      if (element.width !== wide || element.height !== high) {
        element.width = wide
        element.height = high
      }
      const context = element.getContext('2d')!
      context.setTransform(ratio, 0, 0, ratio, 0, 0)
      const begun = performance.now()
      drawStrip(context, width, { plan, road, axis, layout, view, colours, chosen, ghost })
      const took = draws.current
      took.ms[took.seen++ % took.ms.length] = performance.now() - begun
      if (took.seen % DRAWS_TOLD === 0) element.dataset.draws = took.ms.subarray(0, Math.min(took.seen, 200)).join(' ')
    })
    return () => cancelAnimationFrame(frame)
  }, [plan, road, axis, layout, view, colours, chosen, width, height, ghost])

  useEffect(() => {
    const element = canvas.current!
    const wheel = (event: WheelEvent) => {
      event.preventDefault()
      const x = event.clientX - element.getBoundingClientRect().left
      if (event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
        const by = event.deltaX || event.deltaY
        setView((before) => clamp({ ...before, from: before.from + by / before.scale }))
      } else setView((before) => zoomed(before, Math.exp(-event.deltaY / 400), x))
    }
    element.addEventListener('wheel', wheel, { passive: false })
    return () => element.removeEventListener('wheel', wheel)
  }, [clamp, zoomed])

  const show = (i: number) => {
    const call = plan.calls[i]
    if (!call) return
    choose(i)
    setView((before) =>
      axis.at(call.start) < before.from || axis.at(call.actBy) > before.from + width / before.scale
        ? clamp({ ...before, from: axis.at(call.start) - width / before.scale / 3 })
        : before,
    )
  }

  const keys = (event: React.KeyboardEvent) => {
    const at = chosen ?? -1
    if (event.key === 'ArrowRight') show(Math.min(plan.calls.length - 1, at + 1))
    else if (event.key === 'ArrowLeft') show(Math.max(0, at - 1))
    else if (event.key === 'Home') show(0)
    else if (event.key === 'End') show(plan.calls.length - 1)
    else if (event.key === '+' || event.key === '=') setView((before) => zoomed(before, 1.3, width / 2))
    else if (event.key === '-') setView((before) => zoomed(before, 1 / 1.3, width / 2))
    else return
    event.preventDefault()
  }

  const drag = (event: React.PointerEvent) => {
    const was = held.current.get(event.pointerId)
    if (!was) return
    const now = { x: event.clientX, y: event.clientY }
    const other = [...held.current].find(([id]) => id !== event.pointerId)?.[1]
    if (!other && !moved.current && Math.abs(now.x - was.x) < 4) return
    moved.current = true
    held.current.set(event.pointerId, now)
    if (!other) setView((before) => clamp({ ...before, from: before.from - (now.x - was.x) / before.scale }))
    else {
      const left = canvas.current!.getBoundingClientRect().left
      const factor = Math.abs(now.x - other.x) / Math.max(20, Math.abs(was.x - other.x))
      setView((before) => zoomed(before, Math.max(0.5, factor), (now.x + other.x) / 2 - left))
    }
  }

  const now = chosen === null ? null : plan.calls[chosen]
  const half = width / view.scale / 2
  const moves: readonly (readonly [string, () => void])[] = [
    ['earlier', () => setView((before) => clamp({ ...before, from: before.from - half }))],
    ['later', () => setView((before) => clamp({ ...before, from: before.from + half }))],
    ['closer', () => setView((before) => zoomed(before, 1.4, width / 2))],
    ['wider', () => setView((before) => zoomed(before, 1 / 1.4, width / 2))],
    ['whole stage', () => setView(clamp({ from: axis.from, scale: 0 }))],
    [kind === 'time' ? 'along the road' : 'along the clock', () => changeAxis(kind === 'time' ? 'station' : 'time')],
  ]
  return (
    <div className="strip">
      <canvas
        ref={canvas}
        style={{ height }}
        tabIndex={0}
        role="slider"
        aria-label="Talk strip: calls against the road. Arrow keys go from call to call, plus and minus zoom."
        aria-valuemin={0}
        aria-valuemax={Math.max(0, plan.calls.length - 1)}
        aria-valuenow={chosen ?? 0}
        aria-valuetext={now ? callInWords(now, units) : 'no call chosen'}
        onKeyDown={keys}
        onPointerDown={(event) => {
          if (held.current.size === 0) moved.current = false
          held.current.set(event.pointerId, { x: event.clientX, y: event.clientY })
          event.currentTarget.setPointerCapture(event.pointerId)
        }}
        onPointerMove={drag}
        onPointerCancel={(event) => void held.current.delete(event.pointerId)}
        onPointerUp={(event) => {
          held.current.delete(event.pointerId)
          if (moved.current) return
          const box = event.currentTarget.getBoundingClientRect()
          const x = view.from * view.scale + event.clientX - box.left
          const block = blockAt(layout, x, rowAt(layout.rows, event.clientY - box.top), 8)
          choose(block ? block.i : null)
        }}
      />
      <div className="row small">
        {moves.map(([words, act]) => (
          <button key={words} type="button" className="quiet" onClick={act}>
            {words}
          </button>
        ))}
      </div>
      <details>
        <summary>The same in words</summary>
        <ol className="facts">
          {plan.calls.map((call, i) => (
            <li key={call.index}>
              <button type="button" className="quiet" onClick={() => show(i)}>
                {callInWords(call, units)}
              </button>
            </li>
          ))}
        </ol>
      </details>
    </div>
  )
}

function callInWords(call: PlanDocument['calls'][number], units: Units): string {
  const state =
    call.late > TIGHT
      ? `${call.late.toFixed(1)} s over`
      : call.late > 0.002
        ? 'tight'
        : `${call.slack.toFixed(1)} s of slack`
  return `${call.say}: said ${clockInWords(call.start)} to ${clockInWords(call.end)}, latest start ${clockInWords(call.latest)}, act by ${clockInWords(call.actBy)} for ${lengthInWords(call.station, units)}; ${state}`
}

/** Width of words in the strip's font, remembered: a stage has few different words and a zoom asks for all of them. */
function wordMeasure(): (words: string) => number {
  const context = document.createElement('canvas').getContext('2d')!
  context.font = WORD_FONT
  const known = new Map<string, number>()
  return (words) => {
    let wide = known.get(words)
    if (wide === undefined) {
      wide = context.measureText(words).width
      known.set(words, wide)
    }
    return wide
  }
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
