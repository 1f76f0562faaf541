import { useEffect, useRef } from 'react'
import uPlot from 'uplot'
import 'uplot/dist/uPlot.min.css'
import type { FitDocument } from '../../server/api/wire.ts'
import type { Units } from '../look/words.ts'

const HEIGHT = 220
/** Wordings are told apart by their dashes and by the table under the chart, never by colour alone. */
const DASHES: Readonly<Record<string, number[]>> = { verbose: [], standard: [8, 4], terse: [2, 3] }

const colour = (name: string) => getComputedStyle(document.documentElement).getPropertyValue(name).trim()

/** Seconds over against average speed, a line a wording; an upright marks the speed up to which each wording fits, a thick one the plan's own. */
export default function SweepChart({ fit, units, now }: { fit: FitDocument; units: Units; now: number }) {
  const room = useRef<HTMLDivElement>(null)
  useEffect(() => {
    const factor = units === 'miles' ? 3600 / 1609.344 : 3.6
    const unit = units === 'miles' ? 'mph' : 'km/h'
    const dark = matchMedia('(prefers-color-scheme: dark)')
    let chart: uPlot | null = null
    const draw = () => {
      chart?.destroy()
      const [ink, soft, rule, over, mark] = ['--ink', '--soft', '--rule', '--over', '--mark'].map(colour) as [
        string,
        string,
        string,
        string,
        string,
      ]
      const axis = { stroke: soft, grid: { stroke: rule, width: 1 }, ticks: { stroke: rule, width: 1 } }
      const upright = (u: uPlot, speed: number, width: number, stroke: string, dash: number[]) => {
        const x = u.valToPos(speed * factor, 'x', true)
        if (x < u.bbox.left || x > u.bbox.left + u.bbox.width) return
        u.ctx.save()
        u.ctx.strokeStyle = stroke
        u.ctx.lineWidth = width * devicePixelRatio
        u.ctx.setLineDash(dash.map((one) => one * devicePixelRatio))
        u.ctx.beginPath()
        u.ctx.moveTo(x, u.bbox.top)
        u.ctx.lineTo(x, u.bbox.top + u.bbox.height)
        u.ctx.stroke()
        u.ctx.restore()
      }
      chart = new uPlot(
        {
          width: room.current!.clientWidth,
          height: HEIGHT,
          cursor: { drag: { x: false, y: false } },
          scales: { x: { time: false }, y: { range: (_, __, most) => [0, Math.max(1, most)] } },
          axes: [
            { ...axis, values: (_, splits) => splits.map((one) => `${one} ${unit}`), space: 70 },
            { ...axis, values: (_, splits) => splits.map((one) => `${one} s`), size: 48 },
          ],
          series: [
            { label: `average, ${unit}`, value: (_, value) => (value === null ? '' : value.toFixed(1)) },
            ...fit.sweep.map(({ wording }) => ({
              label: wording,
              stroke: wording === 'terse' ? soft : wording === 'standard' ? over : ink,
              width: 2,
              dash: DASHES[wording] ?? [],
              points: { show: false },
              value: (_: uPlot, value: number | null) => (value === null ? '–' : `${value.toFixed(1)} s over`),
            })),
          ],
          hooks: {
            draw: [
              (u) => {
                upright(u, now, 3, mark, [])
                for (const row of fit.wordings)
                  if (row.fits === 'to ceiling' && row.wording !== 'automatic')
                    upright(u, row.ceiling!.averageSpeed, 1, ink, DASHES[row.wording] ?? [])
              },
            ],
          },
        },
        [
          (fit.sweep[0]?.points ?? []).map((point) => point.averageSpeed * factor),
          ...fit.sweep.map(({ points }) => points.map((point) => point.lateSeconds)),
        ],
        room.current!,
      )
    }
    draw()
    const watch = new ResizeObserver(() => chart?.setSize({ width: room.current!.clientWidth, height: HEIGHT }))
    watch.observe(room.current!)
    dark.addEventListener('change', draw)
    return () => {
      watch.disconnect()
      dark.removeEventListener('change', draw)
      chart?.destroy()
    }
  }, [fit, units, now])
  return (
    <div
      className="sweep"
      ref={room}
      role="img"
      aria-label="Seconds over against average speed; the same numbers stand in the table below"
    />
  )
}
